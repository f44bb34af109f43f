(fine boring: down at feed, up as a rapid)
(source: common practice, no source)
(end X10 Y0 Z1)
(feed 4)
G21 G90 G0 Z5 M3 S500
G76 G99 X10 Z-3 R1 Q0.2 F600
M2
