package estimate

import "time"

var monday = time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
