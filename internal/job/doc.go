// Package job is a whole repair: one TOML file beside its hold logs says what
// the circuit consists of, which hold was of what, and what was done when. From
// the file and the logs together it says what is proven, what the holds tell of
// each other, and whether a section may be buried. It opens no instrument and
// reads no clock; it never changes a log.
//
// # The file
//
//	appliance = "bottle cooler, glass door"     # in general terms
//	refrigerant = "R290"
//	charge = "60g"
//	guarantee = "2y"
//	limit = "20g/yr"                            # of every section; or tolerate = "20%/2y"
//	vacuum = "80Pa@60min"                       # what the last rise has to meet
//
//	[[section]]
//	id = "evaporator"                           # one word
//	name = "evaporator and suction tube"
//	volume = "0.12L ±5%"
//	side = "low"                                # or "high"
//	ceiling = "10bar"                           # gauge, of the weakest part in it
//
//	[[section]]
//	id = "circuit"
//	parts = ["condenser", "evaporator"]         # it holds nothing but these
//
//	[[section]]
//	id = "hose"
//	blank = true                                # hose and valve on a plug
//	volume = "25ml"
//
//	[[joint]]
//	id = "e1"
//	section = "evaporator"
//	name = "capillary into evaporator"
//	metals = "copper-aluminium"
//	method = "lock ring"
//	made = 2026-03-02T07:00:00Z                 # of a new joint: no hold from before proves it
//	buried = true                               # under foam when the repair is done
//	old = false                                 # true: of the factory, there before the repair
//	after_charging = false                      # true: the process tube, closed when nothing can be held any more
//
//	[[hold]]
//	file = "evaporator-1.jsonl"                 # beside this file
//	section = "evaporator"
//	joints = ["e1"]                             # where not all of the section; absent = all
//	fittings = ["hose A", "cap 2"]              # what was in it that does not stay
//	kind = "vacuum"                             # where the file does not say so itself (CSV)
//	start = 2026-03-02T14:00:00Z                # where the file has no time of day (CSV)
//
//	[[mark]]
//	time = 2026-03-02T09:30:00Z
//	what = "remade"                             # see [Kinds]
//	joint = "e1"                                # or section = "evaporator"
//	text = "cut out, new lock ring"
//
//	[[closeup]]                                 # written by the gate
//	section = "evaporator"
//	time = 2026-03-02T16:00:00Z
//	name = "who answers for it"
//	despite = "why, where it was against advice"
//	missing = ["what was missing then"]
//
// Quantities are texts with their unit. An unknown key is an error with its
// line: a misspelt limit would otherwise make a wrong proof in silence. Commands
// add to the end or change one value, so order and comments of a file that was
// edited by hand survive; what they write is read back before it replaces the
// file, in one step and under a lock.
package job
