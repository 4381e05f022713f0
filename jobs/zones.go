package jobs

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
	"sync"
	"time"
)

// ZoneBefore is the zone in which a shop was until it moved.
type ZoneBefore struct {
	Zone  string    `json:"zone"`
	Until time.Time `json:"until"`
}

// zones keeps what was read of the zone data, which is the same all day: a long
// log asks for its zone once an entry, and reading takes as long as decoding ten.
var zones sync.Map // name -> *time.Location

func namedZone(name string) *time.Location {
	if loc, ok := zones.Load(name); ok {
		return loc.(*time.Location)
	}
	loc, err := time.LoadLocation(name)
	if err != nil {
		loc = time.UTC
	}
	zones.Store(name, loc)
	return loc
}

// Location gives the shop's zone, with the zones of before it moved until then; UTC
// for one that cannot be read. So an evening stays at the hours it was worked at,
// wherever the shop is now.
func (s Shop) Location() *time.Location {
	if len(s.ZonesBefore) == 0 {
		return namedZone(s.Zone)
	}
	key := fmt.Sprint(s.Zone, s.ZonesBefore)
	if loc, ok := zones.Load(key); ok {
		return loc.(*time.Location)
	}
	loc := joinedZone(s.Zone, s.ZonesBefore)
	zones.Store(key, loc)
	return loc
}

// Move changes the zone of the shop from an instant on. Moves after it are forgotten.
func (s *Shop) Move(zone string, from time.Time) {
	keep := slices.DeleteFunc(slices.Clone(s.ZonesBefore), func(z ZoneBefore) bool { return !z.Until.Before(from) })
	was := s.Zone
	if n := len(keep); n < len(s.ZonesBefore) {
		was = s.ZonesBefore[n].Zone
	}
	if was != zone {
		keep = append(keep, ZoneBefore{was, from.UTC()})
	}
	s.Zone, s.ZonesBefore = zone, keep
	if len(keep) == 0 {
		s.ZonesBefore = nil
	}
}

// zoneYears is the last year of which the changes of clocks are written out.
const zoneYears = 2201

// joinedZone writes zones one behind the other as a time zone file (TZif version 2,
// RFC 8536) and reads it.
func joinedZone(name string, before []ZoneBefore) *time.Location {
	type kind struct {
		offset int
		summer bool
		abbr   string
	}
	var kinds []kind
	index := func(t time.Time) byte {
		abbr, offset := t.Zone()
		k := kind{offset, t.IsDST(), abbr}
		if i := slices.Index(kinds, k); i >= 0 {
			return byte(i)
		}
		kinds = append(kinds, k)
		return byte(len(kinds) - 1)
	}
	var at []int64
	var to []byte
	from := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range len(before) + 1 {
		zone, until := name, time.Date(zoneYears, 1, 1, 0, 0, 0, 0, time.UTC)
		if i < len(before) {
			zone, until = before[i].Zone, before[i].Until
		}
		for t := from.In(namedZone(zone)); t.Before(until); {
			at, to = append(at, t.Unix()), append(to, index(t))
			_, end := t.ZoneBounds()
			if end.IsZero() {
				break
			}
			if !end.After(t) { // the library ends a leap year a day early
				end = t.Add(48 * time.Hour)
			}
			t = end
		}
		from = until
	}
	var abbrs bytes.Buffer
	var types bytes.Buffer
	for _, k := range kinds {
		binary.Write(&types, binary.BigEndian, int32(k.offset))
		dst := byte(0)
		if k.summer {
			dst = 1
		}
		types.Write([]byte{dst, byte(abbrs.Len())})
		abbrs.WriteString(k.abbr + "\x00")
	}
	var file bytes.Buffer
	header := func(times, kinds, chars int) {
		file.WriteString("TZif2")
		file.Write(make([]byte, 15))
		for _, n := range []int{0, 0, 0, times, kinds, chars} {
			binary.Write(&file, binary.BigEndian, uint32(n))
		}
	}
	header(0, 1, 1) // the old form of the file, which nobody reads
	file.Write(make([]byte, 6+1))
	header(len(at), len(kinds), abbrs.Len())
	binary.Write(&file, binary.BigEndian, at)
	file.Write(to)
	file.Write(types.Bytes())
	file.Write(abbrs.Bytes())
	file.WriteString("\n\n")
	loc, err := time.LoadLocationFromTZData(name, file.Bytes())
	if err != nil {
		return namedZone(name)
	}
	return loc
}
