// Package airrun computes the air under the stock at the end of each epoch of a program, and keeps it for other checks
// of the same program.
//
//	epoch      0    1      2            3       what lies bare only grows; each Step has the leak, the patches of
//	cuts    ---|----|------|------------|       the pieces that its epoch touches, and what they hold, with all
//	Step       0    1      2            3       cuts made by its end
//
// It knows neither the pump nor the pressure, on which the field does not depend, nor any force.
package airrun
