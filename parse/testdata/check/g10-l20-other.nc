(the origin of another work system from the place of the tool)
(source: published extension of RS274/NGC, G10 L20)
(end X7 Y3 Z0)
G21 G90 G1 X6 Y3 F600
G10 L20 P2 X0 Y0 Z0
G55 X1 Y0
M2
