package main

import (
	"slices"
)

// andFlag stands between the flags of one hold and those of the next on the same bench.
const andFlag = "--and"

// splitHolds cuts the words after `hold` into those of each hold.
func splitHolds(args []string) (out [][]string) {
	for {
		i := slices.Index(args, andFlag)
		if i < 0 {
			return append(out, args)
		}
		out = append(out, args[:i])
		args = args[i+1:]
	}
}

// plans makes the plans of all the holds on the command line: the first is c
// itself, the others are parsed each by itself.
func (c *holdCmd) plans(a *app) ([]livePlan, int, error) {
	var plans []livePlan
	for i, args := range splitHolds(a.args[1:]) {
		cmd := c
		if i > 0 {
			parsed, done, err := a.parse(append([]string{a.args[0]}, args...))
			if done || err != nil {
				return nil, exitUsage, err
			}
			cmd = parsed.(*holdCmd) // the word was the same
			if cmd.viewFlags != (viewFlags{Every: defaultEvery}) {
				return nil, exitUsage, usage("Write it before the first --and.", "how the holds are shown is said once for all of them")
			}
			cmd.viewFlags = c.viewFlags
		}
		profiles, err := groupDevices(args)
		if err != nil {
			return nil, exitUsage, err
		}
		p, code, err := cmd.plan(a, profiles)
		if err != nil {
			return nil, code, err
		}
		plans = append(plans, p)
	}
	return plans, exitOK, besideEachOther(plans)
}

// besideEachOther refuses holds that would be in each other's way.
func besideEachOther(plans []livePlan) error {
	typed := 0
	sections, logs := map[string]bool{}, map[string]bool{}
	for i, p := range plans {
		if len(plans) > 1 {
			name := p.header.Settings.Section
			if name == "" || sections[name] {
				return usage("Give each its own --section.", "%d holds on one bench need %d names", len(plans), len(plans))
			}
			sections[name], plans[i].section = true, name
		}
		if logs[p.path] {
			return usage("Give each its own --log.", "two holds cannot share the log %q", p.path)
		}
		logs[p.path] = true
		if p.manual() != nil {
			typed++
		}
		if typed > 1 && p.view.plain {
			return usage("Use the full screen, or one manual hold at a time.", "without the full screen only one hold can have device manual")
		}
	}
	return nil
}
