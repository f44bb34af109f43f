(the radius of the tool from the program's own entry into the tool table: 2 to the left)
(source: published extension of RS274/NGC, G10 L1)
(end X20 Y2 Z0)
G21 G90 G0 X-10 Y-10
G10 L1 P1 R2
G41 D1 G1 X0 Y0 F600
X20
M2
