%
O1000 (words beside M98 that the subprogram uses are its arguments)
(source: common practice, no source)
(end X3 Y2 Z0)
(feed 5)
G21 G91 G1 F600
M98 P2000 A3. B2.
M30
O2000
X#1 Y0
Y#2
M99
%
