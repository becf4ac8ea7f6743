package workspace

import (
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Metrics is a Meter that keeps Prometheus metrics.
type Metrics struct {
	questions *prometheus.CounterVec
	latency   *prometheus.HistogramVec
	acked     prometheus.Histogram
	dropped   *prometheus.CounterVec
	queue     prometheus.Gauge
	connects  prometheus.Counter
	waits     *prometheus.CounterVec
	rewords   *prometheus.HistogramVec
}

// NewMetrics registers the metrics, whose names begin with presshand_workspace_.
func NewMetrics(reg prometheus.Registerer) (*Metrics, error) {
	name := func(s string) string { return "presshand_workspace_" + s }
	m := &Metrics{
		questions: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: name("questions_total"), Help: "Messages answered, by how they came and what became of them.",
		}, []string{"kind", "outcome"}),
		latency: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: name("answer_seconds"), Help: "Time from a message's arrival to its posted answer.",
			Buckets: []float64{.01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30, 60, 300},
		}, []string{"kind"}),
		acked: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: name("acknowledge_seconds"), Help: "Time from a delivery's arrival to its acknowledgement.",
			Buckets: []float64{.005, .01, .025, .05, .1, .3, 1, 3},
		}),
		dropped: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: name("dropped_total"), Help: "Deliveries not taken, by reason; a repeat is no loss.",
		}, []string{"reason"}),
		queue: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: name("queue"), Help: "Messages waiting or being answered.",
		}),
		connects: prometheus.NewCounter(prometheus.CounterOpts{
			Name: name("connects_total"), Help: "Connections made; all but the first few are reconnects.",
		}),
		waits: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: name("wait_seconds_total"), Help: "Time waited before calls, for the pace or by the platform's limit.",
		}, []string{"reason"}),
		rewords: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: name("rewording_seconds"), Help: "Time spent on rewording an answer, by what came of it: accepted, or why it was refused.",
			Buckets: []float64{.001, .01, .1, .25, .5, 1, 1.5, 2, 3},
		}, []string{"outcome"}),
	}
	for _, c := range []prometheus.Collector{m.questions, m.latency, m.acked, m.dropped, m.queue, m.connects, m.waits, m.rewords} {
		if err := reg.Register(c); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// Question implements Meter.
func (m *Metrics) Question(kind Kind, outcome string, took time.Duration) {
	m.questions.WithLabelValues(string(kind), outcome).Inc()
	m.latency.WithLabelValues(string(kind)).Observe(took.Seconds())
}

// Acknowledged implements Meter.
func (m *Metrics) Acknowledged(took time.Duration) { m.acked.Observe(took.Seconds()) }

// Dropped implements Meter.
func (m *Metrics) Dropped(why string) { m.dropped.WithLabelValues(why).Inc() }

// Queue implements Meter.
func (m *Metrics) Queue(n int) { m.queue.Set(float64(n)) }

// Connected implements Meter.
func (m *Metrics) Connected() { m.connects.Inc() }

// Waited implements Meter.
func (m *Metrics) Waited(why string, d time.Duration) {
	m.waits.WithLabelValues(why).Add(d.Seconds())
}

// Accepted counts a rewording that was used. With Refused it makes Metrics a
// meter of rewordings too.
func (m *Metrics) Accepted(took time.Duration) {
	m.rewords.WithLabelValues("accepted").Observe(took.Seconds())
}

// Refused counts a rewording that was not used, by why.
func (m *Metrics) Refused(reason string, took time.Duration) {
	m.rewords.WithLabelValues(reason).Observe(took.Seconds())
}
