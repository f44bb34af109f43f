package job

import "staydown/parse"

// Reading gives how a program is read on the machine of the job: its rates, tools and work offsets.
func (j *Job) Reading(name string) parse.Options {
	opt := parse.Options{
		Name: name, RapidMMMin: j.Machine.RapidMMMin, RPM: j.Machine.RPM,
		Tools: map[int]parse.Tool{}, Origins: map[string]parse.Point{},
		HarmlessM: j.Machine.HarmlessM, Units: j.Machine.Units,
		ArcCentresAbsolute: j.Machine.ArcCentresAbsolute, NoEnd: j.Machine.NoEnd,
	}
	for _, s := range j.Machine.Outputs {
		opt.Outputs = append(opt.Outputs, s.Output)
	}
	if z := j.Machine.Zero; z != nil {
		opt.MachineZero = &parse.Point{X: z.X, Y: z.Y, Z: z.Z}
	}
	for n, t := range j.Tools {
		opt.Tools[n] = parse.Tool{DiameterMM: t.DiameterMM, InPath: t.InPath, RPM: t.RPM}
	}
	for name, o := range j.Origins {
		opt.Origins[name] = parse.Point{X: o.X, Y: o.Y, Z: o.Z}
	}
	return opt
}
