package picture

// Line styles that mean the same in every picture. They differ in dashes as well as in color.
var (
	marginStroke     = stroke{inkColour, 1.4, nil}
	bandStroke       = stroke{bandColour, 1.2, nil}
	rangeStroke      = stroke{dimColour, 0.6, nil}
	rangeHatch       = stroke{bandColour, 0.6, nil}
	limitStroke      = stroke{alarmColour, 2.2, nil}
	askedStroke      = stroke{askedColour, 1.8, []float64{7, 4}}
	alarmStroke      = stroke{alarmColour, 1.8, []float64{10, 3, 2, 3}}
	zoneStroke       = stroke{vacuumColour, 1.4, []float64{8, 3}}
	closedZoneStroke = stroke{dimColour, 1.2, []float64{2, 3}}
	tableStroke      = stroke{inkColour, 2.2, []float64{12, 3}}
	grooveStroke     = stroke{dimColour, 0.5, []float64{1, 4}}
	looseHatch       = stroke{alarmColour, 0.7, nil}
	partHatch        = stroke{askedColour, 0.5, nil}
	setpointStroke   = stroke{askedColour, 1.6, []float64{2, 3}}
)

// key is the legend beside a panel, written from the top down.
type key struct {
	p *pen
	y float64
}

const (
	keyStep   = 17.0
	keySample = 24.0 // width of a color or line sample
)

func newKey(p *pen, top float64) *key { return &key{p, top - 10} }

func (k *key) swatch(text string, paint func(box)) {
	paint(box{legendLeft, k.y - 5, legendLeft + keySample, k.y + 5})
	k.text(text)
}

func (k *key) rule(text string, s stroke) {
	k.p.line(s, spot{legendLeft, k.y}, spot{legendLeft + keySample, k.y})
	k.text(text)
}

func (k *key) note(text string) {
	k.p.textAt(spot{legendLeft, k.y}, k.p.fit(text, smallSize, legendRight-legendLeft), smallSize, dimColour,
		align{0, -0.4})
	k.y -= keyStep
}

func (k *key) text(text string) {
	left := legendLeft + keySample + 5
	k.p.textAt(spot{left, k.y}, k.p.fit(text, smallSize, legendRight-left), smallSize, inkColour, align{0, -0.4})
	k.y -= keyStep
}
