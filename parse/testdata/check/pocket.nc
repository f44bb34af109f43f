(circular pocket of radius 10 with a tool of 6: down 2, half circles of 3.5 out and back, a circle of 7; 2 + 21 pi)
(source: common practice, no source)
(end X5 Y5 Z-2)
(feed 67.973446)
G21 G90 G0 X5 Y5
G13 I10 D1 Z-2 F600
M2
