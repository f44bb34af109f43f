(pecks by I, J and K: read as 2.5 throughout, one hole)
(source: common practice, no source)
(end X0 Y0 Z1)
(feed 6.508)
(reading depth of every peck)
G21 G90 G0 Z5
G83 G99 X0 Z-5 R1 I2.5 J0.5 K1 F600
M2
