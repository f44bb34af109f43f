%
O1000 (modes kept and restored by the parameters of the control)
(source: common practice, no source)
(end X4 Y0 Z0)
(feed 4)
G21 G91 G1 F600 X3
#1=#4003
G90
X#5041
G#1
IF [#4006 EQ 21] THEN X1
M30
%
