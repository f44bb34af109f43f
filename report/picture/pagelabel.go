package picture

import (
	"fmt"
	"strconv"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/report/words"
)

// letterShare is the width of a letter over the height of letters, at most: of a digit in a wide font.
const letterShare = 0.64

// labels places the names of zones and the numbers of pieces in letters of some size, units of the view box. The
// numbers of pieces that hold are left out where there is no room on the piece.
func (l *pageLayout) labels(class string, size float64) planLabels {
	out := planLabels{Class: class, Size: Round1(size)}
	room := &labelRoom{frame: box{0, 0, l.Width, l.Height}}
	put := func(text string, b box, piece int, leader string) {
		at := b.textStart()
		out.Labels = append(out.Labels, planLabel{Text: text, X: Round1(at.x), Y: Round1(l.Height - at.y), Piece: piece,
			Leader: leader})
	}
	for _, p := range l.Places {
		at := spot{p.X, l.Height - p.Y}
		room.taken = append(room.taken, box{at.x - 7, at.y - 7, at.x + 7, at.y + 7})
	}
	for _, z := range l.r.Job.Zones {
		if len(z.Area) == 0 {
			continue
		}
		zone := l.extent(z.Area.Bound())
		for _, name := range []string{l.zoneText(z), words.Visible(z.Name)} { // the set-up says the rest
			b := labelBox(spot{zone.x0 + 4, zone.y1 - size - 2}, l.width(name, size), size)
			if b.x1 <= zone.x1 && !room.covered(b) {
				room.keep(b)
				put(name, b, 0, "")
				break
			}
		}
	}
	for _, state := range []result.State{result.StateLoose, result.StateSliver, result.StateAtRisk, result.StateUnknown,
		result.StateHeld} {
		for _, p := range l.r.Pieces {
			if middle, ok := labelPoint(p); ok && !IsStock(p) && p.State == state && len(out.Labels) < maxPlanLabels {
				l.number(room, p, middle, size, put)
			}
		}
	}
	return out
}

// width is that of a text, at most.
func (l *pageLayout) width(text string, size float64) float64 {
	return letterShare * size * float64(len([]rune(text)))
}

// number places the number of a piece on it, or beside it with a leader.
func (l *pageLayout) number(room *labelRoom, p result.Piece, middle orb.Point, size float64,
	put func(text string, b box, piece int, leader string)) {
	text := strconv.Itoa(p.ID)
	own, at, w := l.extent(p.Outline.Bound()), l.at(middle), l.width(text, size)
	b := labelBox(spot{at.x - w/2, at.y - size/3}, w, size)
	fits := own.x1-own.x0 > w && own.y1-own.y0 > size
	switch {
	case fits && !room.covered(b):
		room.keep(b)
		put(text, b, p.ID, "")
	case p.State == result.StateHeld:
	default:
		if b, leader, led, ok := room.near(at, 6+min(own.x1-own.x0, own.y1-own.y0)/2, w, size); ok {
			path := ""
			if led {
				path = fmt.Sprintf("M%s %sL%s %s", Short(leader[0].x), Short(l.Height-leader[0].y), Short(leader[1].x),
					Short(l.Height-leader[1].y))
			}
			put(text, b, p.ID, path)
		}
	}
}
