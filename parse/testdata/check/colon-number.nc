%
:1000
(a colon with a number before words is a line number, to which a jump leads)
(source: common practice, no source)
(end X3 Y1 Z0)
(feed 4)
(reading read as a line number)
G21 G91 G1 F600
:10 X1
IF [#5041 LT 3] GOTO 10
:20 Y1
M30
%
