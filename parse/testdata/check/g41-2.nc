(compensation in three dimensions as in the plane: tool 1 is 6 wide)
(source: common practice, no source)
(end X20 Y3 Z0)
(reading read as G41 in the XY plane)
G21 G90 G0 X-10 Y-10
G41.2 D1 G1 X0 Y0 F600
X20
M2
