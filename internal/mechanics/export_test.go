package mechanics

// BarePass returns a bare pentadiagonal factor-and-solve pass at n stations, what costs are counted in.
func BarePass(n int) func() {
	var s solver
	s.solve(benchCanal(n, 0), make([]float64, n))
	return func() {
		pentadiagonal(s.tangent[:n+2], s.spring[:n], s.grad[:n], s.dir[:n], s.inverse[:n], s.low1[:n], s.low2[:n])
	}
}
