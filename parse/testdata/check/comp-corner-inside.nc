(a rounded corner under compensation, the tool inside: entry 19.773720 and 0.451705, 35, a quarter of 2, 25)
(source: NIST RS274NGC v3, B.1 and B.6; the corner word: common practice, no source)
(end X37 Y30 Z0)
(feed 83.367018)
(reading compensation begins)
G21 G90 G0 X-20 Y0
G41 D1 G1 X0 Y0 F600
X40 ,R5
Y30
M2
