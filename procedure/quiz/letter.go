package quiz

// Letter names the choices and targets of a question on the tablet and on paper,
// counted from 0: A to Z, then AA, AB and so on.
func Letter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return Letter(i/26-1) + Letter(i%26)
}
