package airflow_test

import (
	"fmt"

	"staydown/hold/airflow"
	"staydown/hold/job"
)

// A rotary vane pump of 63 m3/h against a kerf of 6 mm and 20 m through the stock, over 18 mm of board of 1e-13 m2: 6.1
// m3/h through the floor of the kerf at 30 kPa in the chuck (Darcy's law), 6.5 at 16 kPa, and 2 through the hoses; the
// pump then stands at 2 kPa + 101.3 kPa * 8.5/63.
func ExampleOperate() {
	pump := job.Pump{Kind: job.RotaryVane, FlowM3h: 63, UltimatePa: 2000, LeakM3h: 2}
	leak := airflow.Leak{ConductanceM3: 1e-13 * 0.006 * 20 / 0.018}
	state, err := airflow.Operate(pump, 101325, leak)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kPa below ambient, %.1f m3/h of free air\n", state.VacuumPa()/1000, state.LeakM3h)
	// Output: 85.6 kPa below ambient, 8.5 m3/h of free air
}

// Half-way through the layer the pressure is not half-way between the two: its square is.
func ExampleChuck_DifferencePa() {
	chuck := airflow.Chuck{ChuckPa: 30000}
	fmt.Printf("%.0f Pa\n", chuck.DifferencePa(101325, airflow.Patch{W: 0.5}))
	// Output: 26603 Pa
}
