package plan

const (
	sure      = 2.0
	nineInTen = 1.4
)
