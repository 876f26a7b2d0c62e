package verdict_test

import (
	"math"
	"testing"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// steady is a hold of two hours that found a loss of 0.1 Pa/s, 10 % uncertain.
func steady() decay.Estimate {
	return decay.Estimate{Valid: true, At: 7200, Rate: decay.Interval{Value: 0.1, Lo: 0.1 - 0.0196, Hi: 0.1 + 0.0196}, SE: 0.01, Z: 10,
		CalledAt: -1, OpenedAt: -1, UpsetAt: -1}
}

// A product of two independent factors (JCGM 100:2008, 5.1.6, and the note to 5.1.2), worked by hand:
// 10 % and 5 % make sqrt(0.01 + 0.0025 + 0.000025) = 11.192 %.
func TestVolumeUncertaintyWidensAnAmount(t *testing.T) {
	e := verdict.ByVolume(steady(), 0.05)
	if math.Abs(e.SE/0.1-0.111915) > 1e-6 {
		t.Errorf("relative uncertainty %.6f, want 0.111915", e.SE/0.1)
	}
	if half := (e.Rate.Hi - e.Rate.Lo) / 2; math.Abs(half-1.96*e.SE) > 1e-12 || e.Rate.Value != 0.1 {
		t.Errorf("half-width %.6f around %.3f, want %.6f around 0.1", half, e.Rate.Value, 1.96*e.SE)
	}
	if e := verdict.ByVolume(steady(), 0); e.SE != 0.01 {
		t.Errorf("a volume without a tolerance changes the uncertainty to %g", e.SE)
	}
}

// The loss is 0.1 Pa/s ± 10 %, the limit 0.125: the pressure alone proves it, an amount in a volume
// known to ±30 % does not, and a limit on the pressure does not care.
func TestLimitStatedAsAmountFeelsTheVolume(t *testing.T) {
	in := verdict.Input{Estimate: steady(), Final: true, Elapsed: 7200, HoldFor: 7200, Unit: "bar",
		Limit: verdict.Limit{Set: true, Rate: 0.125, Text: "12g/yr", ByVolume: true},
		Figures: func(r units.PressureRate) verdict.Figures {
			return verdict.Figures{Rate: r, Throughput: units.LeakRate(r), HasThroughput: true}
		}}
	sure := verdict.Judge(in)
	in.VolumeSE = 0.3 / 1.96
	rough := verdict.Judge(in)
	if sure.Word != verdict.Tight || rough.Word != verdict.Unproven {
		t.Errorf("volume known: %s, to 30 %%: %s; want tight and unproven", sure.Word, rough.Word)
	}
	if !(rough.Hides.Throughput > sure.Hides.Throughput) || rough.Hides.Rate != sure.Hides.Rate {
		t.Errorf("what could hide: %+v, with a rough volume %+v", sure.Hides, rough.Hides)
	}
	in.Limit.ByVolume = false
	if v := verdict.Judge(in); v.Word != verdict.Tight {
		t.Errorf("a limit on the pressure is %s in a rough volume", v.Word)
	}
}
