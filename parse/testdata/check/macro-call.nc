%
O1000 (a macro call: letters become parameters of its own, and those that are not given are vacant)
(source: common practice, no source)
(end X5 Y8 Z-2)
(feed 15)
G21 G91 G1 F600
#1=8
G65 P2000 X2.5 L2 Z-1.
Y#1
M30
O2000
X#24 Y#25
IF [#25 NE #0] GOTO 10
Z#26
N10 IF [#1 EQ #0] GOTO 20
X1000.
N20 M99
%
