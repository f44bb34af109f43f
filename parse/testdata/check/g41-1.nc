(compensation with the diameter in the block: 2 to the right)
(source: published extension of RS274/NGC, G42.1)
(end X20 Y-2 Z0)
G21 G90 G0 X-10 Y-10
G42.1 D4 G1 X0 Y0 F600
X20
M2
