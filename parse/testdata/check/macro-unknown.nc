(what the control keeps is not known where it is used, not where it is set)
(source: common practice, no source)
(end X1 Y0 Z0)
(unread line 7 #5063)
G21 G91 G1 F600
#3003=1 #2001=5 #4=#0
X1 Z#5063
X#4
M2
