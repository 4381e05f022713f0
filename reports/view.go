package reports

import "bookmatch/jobs/workshop"

// View makes a view of one result type fit for every result. A result of another
// type is a fault of the program and panics.
func View[R workshop.Result](f func(R) Report) func(workshop.Result) Report {
	return func(r workshop.Result) Report { return f(r.(R)) }
}
