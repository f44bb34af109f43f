(what is set from a value that is not known is told where it is used; set anew it is known; it counts as 0)
(source: common practice, no source)
(end X3 Y1 Z0)
(unread line 9 #6 comes from #5062)
G21 G91 G1 F600
#5=#5061
#6=[#5062+1] #8=#5
#5=3
X#5 Y#6
M2
