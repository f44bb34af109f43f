(G10 L20 in a program that uses G54.1 sets its origins in machine coordinates)
(source: common practice, no source)
(end X5 Y7 Z0)
(reading in a program that uses G54.1)
G21 G90
G10 L20 P3 X5 Y5 Z0
G54.1 P3 G1 X0 Y2 Z0 F600
M2
