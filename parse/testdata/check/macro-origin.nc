(an origin by its parameter, as by G10 L2)
(source: NIST RS274NGC v3, 3.2.1)
(end X5 Y2 Z0)
(feed 0)
G21 G90
#5221=5
#5222=[#5222+2]
G0 X0 Y0
M2
