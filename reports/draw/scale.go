package draw

// Scaled is a surface on which every length is k times as long, type included. A
// page that begins on it is left out: it draws within a page of s.
func Scaled(s Surface, k float64) Surface { return scaled{s, k} }

type scaled struct {
	s Surface
	k float64
}

func (m scaled) Page(_, _ float64) {}

func (m scaled) path(p *Path) *Path {
	out := &Path{Steps: make([]Step, len(p.Steps))}
	for i, s := range p.Steps {
		for k := range s.P {
			s.P[k].X, s.P[k].Y = s.P[k].X*m.k, s.P[k].Y*m.k
		}
		out.Steps[i] = s
	}
	return out
}

func (m scaled) Path(p *Path, look Look) {
	look.Width *= m.k
	dash := make([]float64, len(look.Dash))
	for i, d := range look.Dash {
		dash[i] = d * m.k
	}
	look.Dash = dash
	m.s.Path(m.path(p), look)
}

func (m scaled) Text(x, y float64, words string, t Type) {
	t.Points *= m.k
	m.s.Text(x*m.k, y*m.k, words, t)
}

func (m scaled) Image(x, y, width, height float64, file string) bool {
	return m.s.Image(x*m.k, y*m.k, width*m.k, height*m.k, file)
}

func (m scaled) Width(words string, t Type) float64 { return m.s.Width(words, t) }

func (m scaled) Clip(p *Path) { m.s.Clip(m.path(p)) }

func (m scaled) Unclip() { m.s.Unclip() }
