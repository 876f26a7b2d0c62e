package ui

// small is the 5 pixel font: digits and the letters of the verdicts. It is a
// table, written as code so that nothing can change it: its length is that of the alphabet.
func small(r rune) []string {
	switch r {
	case '0':
		return []string{"###", "#.#", "#.#", "#.#", "###"}
	case '1':
		return []string{".#.", "##.", ".#.", ".#.", "###"}
	case '2':
		return []string{"###", "..#", "###", "#..", "###"}
	case '3':
		return []string{"###", "..#", "###", "..#", "###"}
	case '4':
		return []string{"#.#", "#.#", "###", "..#", "..#"}
	case '5':
		return []string{"###", "#..", "###", "..#", "###"}
	case '6':
		return []string{"###", "#..", "###", "#.#", "###"}
	case '7':
		return []string{"###", "..#", "..#", "..#", "..#"}
	case '8':
		return []string{"###", "#.#", "###", "#.#", "###"}
	case '9':
		return []string{"###", "#.#", "###", "..#", "###"}
	case '.':
		return []string{".", ".", ".", ".", "#"}
	case ',':
		return []string{"..", "..", "..", ".#", "#."}
	case ':':
		return []string{".", "#", ".", "#", "."}
	case '-':
		return []string{"...", "...", "###", "...", "..."}
	case '+':
		return []string{"...", ".#.", "###", ".#.", "..."}
	case 'A':
		return []string{"###", "#.#", "###", "#.#", "#.#"}
	case 'E':
		return []string{"###", "#..", "##.", "#..", "###"}
	case 'G':
		return []string{"###", "#..", "#.#", "#.#", "###"}
	case 'H':
		return []string{"#.#", "#.#", "###", "#.#", "#.#"}
	case 'I':
		return []string{"#", "#", "#", "#", "#"}
	case 'K':
		return []string{"#.#", "#.#", "##.", "#.#", "#.#"}
	case 'L':
		return []string{"#..", "#..", "#..", "#..", "###"}
	case 'N':
		return []string{"#..#", "##.#", "#.##", "#..#", "#..#"}
	case 'O':
		return []string{"###", "#.#", "#.#", "#.#", "###"}
	case 'P':
		return []string{"###", "#.#", "###", "#..", "#.."}
	case 'R':
		return []string{"##.", "#.#", "##.", "#.#", "#.#"}
	case 'T':
		return []string{"###", ".#.", ".#.", ".#.", ".#."}
	case 'U':
		return []string{"#.#", "#.#", "#.#", "#.#", "###"}
	case 'V':
		return []string{"#.#", "#.#", "#.#", "#.#", ".#."}
	}
	return []string{"..", "..", "..", "..", ".."}
}

// high is the 7 pixel font: digits only. Its length is that of the table, as with small.
func high(r rune) []string {
	switch r {
	case '0':
		return []string{"####", "#..#", "#..#", "#..#", "#..#", "#..#", "####"}
	case '1':
		return []string{"..#.", ".##.", "..#.", "..#.", "..#.", "..#.", ".###"}
	case '2':
		return []string{"####", "...#", "...#", "####", "#...", "#...", "####"}
	case '3':
		return []string{"####", "...#", "...#", "####", "...#", "...#", "####"}
	case '4':
		return []string{"#..#", "#..#", "#..#", "####", "...#", "...#", "...#"}
	case '5':
		return []string{"####", "#...", "#...", "####", "...#", "...#", "####"}
	case '6':
		return []string{"####", "#...", "#...", "####", "#..#", "#..#", "####"}
	case '7':
		return []string{"####", "...#", "...#", "...#", "...#", "...#", "...#"}
	case '8':
		return []string{"####", "#..#", "#..#", "####", "#..#", "#..#", "####"}
	case '9':
		return []string{"####", "#..#", "#..#", "####", "...#", "...#", "####"}
	case '.':
		return []string{".", ".", ".", ".", ".", ".", "#"}
	case ',':
		return []string{"..", "..", "..", "..", "..", ".#", "#."}
	case ':':
		return []string{".", ".", "#", ".", "#", ".", "."}
	case '-':
		return []string{"...", "...", "...", "###", "...", "...", "..."}
	case '+':
		return []string{"...", "...", ".#.", "###", ".#.", "...", "..."}
	}
	return []string{"..", "..", "..", "..", "..", "..", ".."}
}
