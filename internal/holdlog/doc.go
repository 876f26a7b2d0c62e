// Package holdlog is the record of a hold: one append-only JSON Lines file,
// written by a [Writer] and read by a [Reader]. It also reads and writes CSV.
// It knows nothing of gases, fits or verdicts, and reads no clock: the times in
// a record are the caller's.
//
// # The file
//
// UTF-8 text. A line is one JSON object (RFC 8259) and ends in a newline
// (U+000A). Only lines that end in a newline count: what stands after the last
// newline is a torn tail, left by a crash, and is never read as data, because a
// number cut short still looks like a number. A line is at most 1 MiB.
//
// Keys carry their unit: _pa pascal, _k kelvin, _s second, _ms millisecond,
// _m3, _kg, _m, _rel (fraction of 1). Numbers are written so that reading them
// gives the same float64 again. A key that is absent is a value not measured or
// not known; null means the same. Unknown keys are passed over, so that keys
// may be added within a version. A line of an unknown kind counts as damaged.
//
// Every line has
//
//	k     kind of the line: hdr, s, bad, mark, ev, ck, verdict
//	t_ms  wall time, Unix time in milliseconds; 0 = unknown; a sample may leave it out, see there
//	e_s   elapsed time since the hold's first record, on a clock that counts sleep
//
// # Header
//
// The first line, and no other, is the header:
//
//	{"k":"hdr","t_ms":1772610000000,"e_s":0,"hdr":{"v":1,"program":"...","clock":"...","zone":"+02:00",
//	 "devices":[{"name":"line","gives":"pressure_bar_abs,ambient_c","pressure_step_pa":100}],
//	 "settings":{"volume_m3":0.0003,"charge_kg":0.045,"limit":"3g/yr","for_s":3600}}}
//
// (one line in the file). hdr.v is the version of the format, now 1; the
// members k, hdr and hdr.v will mean this in every later version, so that any
// reader can say which version it met. The other keys are the json names in
// [Header], [Device], [Settings] and [Truth].
//
// # Samples
//
//	{"k":"s","t_ms":1772610000123,"e_s":12.345,"p_pa":1980000,"ta_k":294.65,"pb_pa":101300}
//
//	p_pa     pressure, absolute        pg_pa  pressure above the surroundings (gauge); never both
//	ta_k     air beside the section    ts_k   the section itself
//	pb_pa    air pressure at the gauge, absolute
//	step_pa  readable step of this reading, where it is not the header's
//	skew_s   age of the oldest value beside the pressure, where it comes from an earlier moment
//	d        index of the device in the header, where it is not 0
//	raw      what the device said, where the numbers above cannot rebuild it
//
// A writer keeps this order of keys and puts no space between them; a reader
// must take any order and spacing. Where t_ms is left out it is that of the line
// before (of the last one that could be read) plus the e_s that passed since,
// rounded to a millisecond, or 0 if that one had 0.
//
// # The other lines
//
//	{"k":"bad","t_ms":1772610013000,"e_s":13,"text":"P=##.#","why":"not a number"}   a reading that could not be used
//	{"k":"bad","t_ms":…,"e_s":…,"why":"19 more not kept one by one","n":19}          n readings like it
//	{"k":"mark","t_ms":1772610020000,"e_s":20,"text":"soap on joint 3"}             something the person saw or did
//	{"k":"ev","t_ms":1772610060000,"e_s":60,"ev":"gap","for_s":31.5,"device":"line"}
//	{"k":"ev","t_ms":…,"e_s":…,"ev":"settings","hdr":{…}}              a whole header, in force from here
//	{"k":"ck","t_ms":…,"e_s":…,"sha256":"…64 hex digits…","n":600}     fingerprint
//	{"k":"verdict","t_ms":1772613600000,"e_s":3600,"text":"tight"}                    what the screen said at the end
//
// The values of ev are the [EventKind] constants. Where raw or text is not
// valid UTF-8 (a line at the wrong speed), it stands as hex digits under
// raw_hex or text_hex instead.
//
// # Fingerprints
//
// A ck line holds the SHA-256 of every byte of the file before that line, and
// the number of samples before it. One is written every 60 s or 600 samples,
// and one when the log is closed. It has no key: anyone can compute it anew. It
// shows accidental damage, and becomes evidence only where the last one has
// left the machine, as on a printed report. Lines after the last ck, and whole
// lines cut off at the end, are not covered.
//
// # Continuing and locking
//
// A writer that goes on with a file first moves the torn tail, without its NUL
// bytes, to the end of FILE.torn, truncates the file after its last newline and
// writes an event recovered (if there was a tail) and an event continued. While
// a writer has the file open it holds a kernel lock on FILE.lock; readers take
// no lock.
//
// # CSV
//
// [ImportCSV] reads RFC 4180 files and files with semicolons and decimal
// commas; [ExportCSV] writes both. Columns are named as [units.ParseColumn]
// wants them, beside elapsed_s (seconds) and time (RFC 3339). An empty cell or
// NaN is a value not measured. Unlike in a log, the last row counts without a
// newline, as RFC 4180 section 2 allows.
package holdlog
