(two passes of a pocket, 1 deeper each: 2 times 1 + 6 pi of half circles and circle)
(source: common practice, no source)
(end X0 Y0 Z-2)
(feed 39.699112)
G21 G91
G13 I2 D0 Z-1 L2 F600
M2
