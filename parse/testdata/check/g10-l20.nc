(the origin of a work system from the place of the tool)
(source: published extension of RS274/NGC, G10 L20)
(end X8 Y0 Z0)
(feed 8)
G21 G90 G1 X6 F600
G10 L20 P1 X10
X12
M2
