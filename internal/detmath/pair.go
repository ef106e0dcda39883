package detmath

// Error-free transformations: the sum of the two results equals the exact sum or product.
// Source: Dekker 1971, Numerische Mathematik 18:224; Knuth, The Art of Computer Programming 2, 4.2.2.

// twoSum returns a+b rounded and its rounding error.
func twoSum(a, b float64) (sum, err float64) {
	sum = a + b
	back := sum - a
	return sum, (a - (sum - back)) + (b - back)
}

// quickTwoSum is twoSum for |a| ≥ |b|.
func quickTwoSum(a, b float64) (sum, err float64) {
	sum = a + b
	return sum, b - (sum - a)
}

// twoProduct returns a·b rounded and its rounding error, for factors below 1e290. It splits the
// factors instead of using a fused product, which is slow where it has no instruction.
func twoProduct(a, b float64) (product, err float64) {
	product = float64(a * b)
	aHigh, aLow := split(a)
	bHigh, bLow := split(b)
	err = float64(aHigh*bHigh) - product
	err += float64(aHigh * bLow)
	err += float64(aLow * bHigh)
	err += float64(aLow * bLow)
	return product, err
}

// split cuts a into two parts of at most 26 bits each.
func split(a float64) (high, low float64) {
	const splitter = 1<<27 + 1
	t := float64(splitter * a)
	high = t - (t - a)
	return high, a - high
}
