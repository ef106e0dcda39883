package class

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// mostLimits is how many keys are told apart; beyond that the whole table begins anew, which is kinder
// to those who ask than to who fills it.
const mostLimits = 10_000

// limits holds a rate for each key. Each server process has its own.
type limits struct {
	mu    sync.Mutex
	rate  rate.Limit
	burst int
	by    map[string]*rate.Limiter
}

// newLimits allows perSecond requests on average and burst at once.
func newLimits(perSecond float64, burst int) *limits {
	return &limits{rate: rate.Limit(perSecond), burst: burst, by: map[string]*rate.Limiter{}}
}

func (l *limits) allow(key string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	one := l.by[key]
	if one == nil {
		if len(l.by) >= mostLimits {
			clear(l.by)
		}
		one = rate.NewLimiter(l.rate, l.burst)
		l.by[key] = one
	}
	return one.AllowN(time.Now(), 1)
}
