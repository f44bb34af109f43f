package sweep

import "math"

// cutGraph is a small flow network for the smallest section of a web. Nodes 0 and 1 are source and sink. The algorithm is
// Dinic's (1970): levels by breadth, blocking flows by depth; whole-number capacities, so it ends.
type cutGraph struct {
	head  []int32
	next  []int32
	to    []int32
	room  []int64
	level []int32
	iter  []int32
}

func newCutGraph(nodes int) *cutGraph {
	g := &cutGraph{head: make([]int32, nodes), level: make([]int32, nodes), iter: make([]int32, nodes)}
	for i := range g.head {
		g.head[i] = -1
	}
	return g
}

// join adds an edge of the same capacity both ways.
func (g *cutGraph) join(a, b int32, capacity int64) {
	g.next = append(g.next, g.head[a], g.head[b])
	g.to = append(g.to, b, a)
	g.room = append(g.room, capacity, capacity)
	n := int32(len(g.to))
	g.head[a], g.head[b] = n-2, n-1
}

// cut lets the flow through and marks the nodes on the source's side of the smallest cut.
func (g *cutGraph) cut() []bool {
	for g.layers() {
		copy(g.iter, g.head)
		for g.push(0) > 0 {
		}
	}
	side := make([]bool, len(g.head))
	for i := range side {
		side[i] = g.level[i] >= 0
	}
	return side
}

// layers gives every node its distance from the source along edges with room; false when the sink is out of reach.
func (g *cutGraph) layers() bool {
	for i := range g.level {
		g.level[i] = -1
	}
	g.level[0] = 0
	queue := []int32{0}
	for len(queue) > 0 {
		a := queue[0]
		queue = queue[1:]
		for e := g.head[a]; e >= 0; e = g.next[e] {
			if b := g.to[e]; g.room[e] > 0 && g.level[b] < 0 {
				g.level[b] = g.level[a] + 1
				queue = append(queue, b)
			}
		}
	}
	return g.level[1] >= 0
}

// push sends what one path takes from the source to the sink, without recursion.
func (g *cutGraph) push(source int32) int64 {
	var path []int32 // edges
	at := source
	for at != 1 {
		e := g.iter[at]
		for ; e >= 0; e = g.next[e] {
			if g.room[e] > 0 && g.level[g.to[e]] == g.level[at]+1 {
				break
			}
		}
		g.iter[at] = e
		if e >= 0 {
			path = append(path, e)
			at = g.to[e]
			continue
		}
		if len(path) == 0 {
			return 0
		}
		// A dead end: step back and leave the edge that led here.
		e = path[len(path)-1]
		path = path[:len(path)-1]
		at = g.to[e^1]
		g.iter[at] = g.next[e]
	}
	least := int64(math.MaxInt64)
	for _, e := range path {
		least = min(least, g.room[e])
	}
	for _, e := range path {
		g.room[e] -= least
		g.room[e^1] += least
	}
	return least
}
