%
O0001 (WHILE, DO and END, one inside the other: 3 by 2 moves)
(source: common practice, no source)
(end X6 Y3 Z0)
(feed 9)
G21 G91 G01 F600
#100=1
WHILE[#100LE3]DO1
#101=1
WHILE [#101 LE 2] DO2
X1.
#101=#101+1
END2
Y1.
#100=#100+1
END1
M30
%
