// Package machine tells what the machine does besides moving the tool: pump, zones and clamps that the program
// switches, coolant that wets the work, clamps that press it, the friction under it, the hand of its tools.
//
//	M80 (pump)  ----------------------------------+     a Plan tells what is on at each move, Clamps which piece a
//	M81 (clamp)     -----------+        +---------+     clamp presses; coolant wets from its first line to the end
//	M8 (coolant)        ~~~~~~~~~~~~~~~~~~~~~~~~~~~
//
// It does not know how much air a zone draws, nor what the tool does.
package machine
