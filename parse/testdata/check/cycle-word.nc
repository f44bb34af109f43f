(a word of the control's own on a canned cycle)
(source: common practice, no source)
(end X10 Y0 Z5)
(feed 4)
(reading does not change where the hole is)
G21 G90 G0 Z5
G81 G98 X10 Z-3 R1 I2 F600
M2
