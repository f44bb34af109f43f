package parse

// Edited is a move of an edited program with the index of the move of the original that it is, or that it was made for.
type Edited struct {
	Move
	From    int
	Changed bool // its length and duration are to be found anew
}

// Edit is the program with other moves: its tool changes, stops, coolant and outputs keep their place before the move
// that they stood before. A move that began where the one before it ended does so again. The text stays that of the
// original.
func (p *Program) Edit(list []Edited) *Program {
	out := *p
	out.Moves = Moves{rapid: p.Moves.rapid}
	out.DurationS, out.CutLengthMM = 0, 0
	first := make([]int, p.Moves.Len()+1) // new index of each old move, from 1; 0: gone
	for i := range list {
		m := &list[i]
		if first[m.From] == 0 {
			first[m.From] = i + 1
		}
		if i > 0 && m.Start != list[i-1].End {
			m.Start, m.Changed = list[i-1].End, true
		}
		if m.Changed && m.Kind != Dwell {
			m.LengthMM = pathLength(&m.Move)
			m.DurationS = out.Moves.duration(&m.Move)
		}
		out.Moves.add(&m.Move)
		out.DurationS += m.DurationS
		if m.Kind == Feed || m.Kind == Arc {
			out.CutLengthMM += m.LengthMM
		}
	}
	at := len(list) + 1
	for old := len(first) - 1; old >= 0; old-- {
		if first[old] == 0 {
			first[old] = at
		}
		at = first[old]
	}
	move := func(old int) int { return first[old] - 1 }
	out.ToolCalls = append([]ToolCall(nil), p.ToolCalls...)
	for i := range out.ToolCalls {
		out.ToolCalls[i].Move = move(out.ToolCalls[i].Move)
	}
	out.Stops = append([]Stop(nil), p.Stops...)
	for i := range out.Stops {
		out.Stops[i].Move = move(out.Stops[i].Move)
	}
	out.Coolant = append([]CoolantChange(nil), p.Coolant...)
	for i := range out.Coolant {
		out.Coolant[i].Move = move(out.Coolant[i].Move)
	}
	out.Outputs = append([]OutputChange(nil), p.Outputs...)
	for i := range out.Outputs {
		out.Outputs[i].Move = move(out.Outputs[i].Move)
	}
	out.Unplaced = append([]UnplacedRapid(nil), p.Unplaced...)
	for i := range out.Unplaced {
		out.Unplaced[i].Move = move(out.Unplaced[i].Move)
	}
	return &out
}
