(a tool with the number of an offset behind the point)
(source: common practice, no source)
(end X3 Y0 Z0)
(reading read as tool 2)
G21 G90
T2.1 M6
G1 X3 F600
M2
