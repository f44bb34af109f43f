%
O1000 (M98 Q and M97 P call a part of the program by its line number, M98 P Q one of another; M99 P goes back to one)
(source: common practice, no source)
(end X10 Y4 Z0)
(feed 14)
G21 G91 G1 F600
M98 Q100 L2
M97 P100
M98 P2000 Q10
M98 P3000
X1000.
N50 X6.
M30
N100 X1.
M99
O2000
X1000.
N10 Y4.
X1.
M99
O3000
M99 P50
%
