(tool centre point control in a program of three axes)
(source: common practice, no source)
(end X1 Y0 Z2)
(reading G43.4; read as G43)
G21 G90 G43.4 H1
G1 X1 Z2 F600
M2
