package reports

// Maybe is the cell of a value that may be unknown: empty for nil.
func Maybe[T any](v *T, cell func(T) Cell) Cell {
	if v == nil {
		return Empty()
	}
	return cell(*v)
}
