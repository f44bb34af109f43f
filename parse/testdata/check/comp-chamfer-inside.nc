(a chamfer under compensation, the tool inside: 32, 8 times the root of 2 and 22, less 3 tan 22.5 at each of four ends)
(source: NIST RS274NGC v3, B.1 and B.6; the corner word: common practice, no source)
(end X37 Y30 Z0)
(feed 80.568570)
(reading two offset paths meet)
G21 G90 G0 X-20 Y0
G41 D1 G1 X0 Y0 F600
X40 ,C8
Y30
M2
