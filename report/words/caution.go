package words

// Caution stands in every report and at the head of every annotated program.
const Caution = "This is an estimate, not a guarantee. Prove the program with a test cut, with guards closed and " +
	"people clear: " +
	"loose parts and broken tools fly. The machine's manual, local safety rules and licensed practice come first."
