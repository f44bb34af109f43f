(block-delete levels, one after the other and inside the line, with the switch off)
(source: common practice, no source)
(end X3 Y2 Z0)
(feed 5)
G21 G91 G1 F600
/1/2 X3
/ 3 Y1
X0 /2 Y1
M2
