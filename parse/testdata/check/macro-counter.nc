(a counter that the program never sets counts from 0, and is not read where it decides)
(source: common practice, no source)
(end X3 Y0 Z0)
(unread line 6 #100 is never set)
G21 G91 G1 F600
N6 IF [#100 GE 3] GOTO 9
X1
#100=#100+1
GOTO 6
N9 M2
