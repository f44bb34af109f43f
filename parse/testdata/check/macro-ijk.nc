%
O1000 (I, J and K more than once: #4 to #6, then #7 to #9)
(source: common practice, no source)
(end X12 Y0 Z0)
(feed 12)
G21 G91 G1 F600
G65 P2000 I1. J2. I4. J5.
M30
O2000
X[#4+#5+#7+#8]
M99
%
