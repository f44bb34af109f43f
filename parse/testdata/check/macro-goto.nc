%
O0002 (IF and GOTO: a loop by hand, one way round and a jump ahead)
(source: common practice, no source)
(end X4 Y1 Z0)
(feed 5)
G21 G91 G1 F600
#1=0
N10 #1=#1+1
X1.
IF [#1 LT 4] GOTO 10
GOTO 30
X1000.
N30 Y1.
M30
%
