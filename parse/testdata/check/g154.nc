(G154 P and G54 P are G54.1 P)
(source: common practice, no source)
(end X2 Y9 Z0)
(reading G54 with P; read as G54.1)
G21 G90
G10 L20 P3 X5 Y5 Z0
G10 L20 P4 X1 Y9 Z0
G154 P3 G1 X0 Y0 Z0 F600
G54 P4 X1 Y0 Z0
M2
