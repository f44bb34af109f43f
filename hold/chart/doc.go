// Package chart finds what holds on a table before there is a program: the smallest square, disc and strip by depth of
// the closing pass and by feed.
//
//	job, tool, open share ──> table ──> places on grooves and zone edges ─┐
//	sizes, depths of the closing pass, feeds ─────────────────────────────┼──> dryrun ──> check ──> margin of the part
//	                                                    bisection by size └──────────────────────────────┘
//
// Every margin is that of a generated program on the whole table of the job, checked like any other program. There is
// no second model. It knows nothing of files and pictures.
package chart
