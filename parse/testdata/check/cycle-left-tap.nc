(left-hand tapping: down to -3 and up to 1 at feed)
(source: common practice, no source)
(end X10 Y0 Z1)
(feed 8)
G21 G90 G0 Z5 M4 S500
G74 G99 X10 Z-3 R1 F600
M2
