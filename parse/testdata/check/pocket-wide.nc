(circular pocket in circles of 5, 8 and 11: half circles of 2.5, 1.5, 1.5 and 5.5; 59 pi)
(source: common practice, no source)
(end X0 Y0 Z0)
(feed 185.353967)
(reading circular pocket)
G21 G90
G12 I5 K11 Q3 D0 F600
M2
