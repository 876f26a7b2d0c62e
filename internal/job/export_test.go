package job

import (
	"fmt"
	"os"
	"path/filepath"
)

// Memory keeps what logs came to. Tests read one job in many variants, and to
// judge a log takes longer than all the rest.
type Memory map[string]Evidence

// Read reads a job, and judges only the logs that it did not judge before in the same circumstances.
func (m Memory) Read(path string) (*Record, error) {
	return readWith(path, func(r *Record, h Hold) Evidence {
		section, _ := r.Section(h.Section)
		var blanks []Hold
		for _, e := range r.Holds {
			if e.Section.Blank {
				blanks = append(blanks, e.Hold)
			}
		}
		head := *r.Job
		head.Sections, head.Joints, head.Holds, head.Marks, head.Closeups = nil, nil, nil, nil, nil
		file := filepath.Join(r.Dir, h.File)
		key := fmt.Sprintf("%s %+v %+v %+v %+v", file, h, section, blanks, head)
		if info, err := os.Stat(file); err == nil {
			key += fmt.Sprint(info.Size(), info.ModTime())
		}
		e, known := m[key]
		if !known {
			e = r.read(h)
			m[key] = e
		}
		return e
	})
}
