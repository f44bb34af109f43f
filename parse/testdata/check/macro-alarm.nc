(an alarm ends the program, if it is raised)
(source: common practice, no source)
(end X1 Y0 Z0)
(unread line 8 raises an alarm)
G21 G91 G1 F600
IF [1 EQ 2] THEN #3000=1 (NO TOOL)
X1
IF [1 EQ 1] THEN #3000=1 (DEPTH MISSING)
X5
M2
