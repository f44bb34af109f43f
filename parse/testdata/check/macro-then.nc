%
O0003 (IF with THEN and without, IF THEN in lines of its own)
(source: common practice, no source)
(end X5 Y4 Z0)
(feed 9)
G21 G91 G1 F600
#1=5
IF [#1 EQ 5] THEN #2=4
IF [#1 EQ 6] THEN #2=1000
IF [#1 GT 4] X#1
IF [#1 GT 5] X1000.
IF [#2 EQ 4] THEN
Y#2
ELSE
Y1000.
ENDIF
M30
%
