(F of a dwell is no feed: the move behind it keeps that of before)
(source: common practice, no source)
(end X9 Y0 Z0)
(feed 9)
(reading as a dwell in seconds and not as a feed)
G21 G90 G1 X3 F600
G4 F2
X9
M2
