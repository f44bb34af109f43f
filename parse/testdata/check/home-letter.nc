(axes without a number behind G28 go home from where they are, in G90 as well)
(source: common practice, no source)
(end X10 Y0 Z0)
(feed 30)
(reading without a number on the way home)
G21 G90 G1 X10 F600
Z-20
G91 G28 Z
G90 G28 Y
M2
