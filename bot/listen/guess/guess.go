// Package guess learns from example messages what a message is about: first
// the topic, then which of the topic's questions.
//
// Both are multinomial logistic regressions over the signs of a message (its
// words, pairs of neighbours, kinds of things named in it), each sign weighed
// by its inverse document frequency and the message brought to length one
// (Jurafsky and Martin, Speech and Language Processing, on logistic regression;
// Spärck Jones, J. Documentation 28(1), 1972). A second opinion, from short vectors
// of the signs, is brought to each (vectors.go). Of a word its pieces of three
// letters are signs too. Both are learnt once, by Train, and kept as bytes that Load
// reads without copying. The package knows no trade.
package guess

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strings"
)

// Unknown is the sign that stands for every word too rare to be learnt.
const Unknown = "?"

// always is a sign of every message: its weights are what is likely before a
// word is read. No word can be this.
const always = " "

// A Model weighs topics and labels. It does not change and may be used by any
// number of goroutines.
type Model struct {
	mark   string
	topics []string
	labels []string   // sorted, so that those of a topic stand together
	parent []int      // of each label: its topic
	scale  [2]float64 // what one step of a weight stands for: of topics, of labels
	extra  []float64

	keys   string // sorted hashes of signs, 4 bytes each
	rarity string // of each key: its inverse document frequency, 4 bytes each
	ends   string // of each key: where its cells end, 4 bytes each
	dense  string // of each key: its weight for every topic, 1 byte each
	cells  string // label in 2 bytes, weight in 1

	width int
	out   []float32 // of each label its weights for a message's vector, then its bias
	slots string    // of each key: the place of its vector, from 1, 4 bytes each; 0: none
	rows  string    // of each vector: what a step is worth (4 bytes), then a byte a place
}

// Chances are the probabilities of what a message may be about, in the order of
// the model's topics and labels.
type Chances struct {
	Topics []float64 // 1 together
	Labels []float64 // of each label, where its topic is right; 1 together in each topic
}

// Form of the bytes: lines of text (the mark, the extra numbers, the topics, the
// labels; fields of a line are parted by tabs) and a line of two dashes; then as 4
// bytes each the two scales (IEEE 754) and the number of keys; then keys, rarity,
// ends, the weights of topics, and the cells of labels; the width and number of the
// vectors, the weights of labels for them, their places and the vectors. All
// little-endian.

const (
	headLines = 4
	headEnd   = "\n--\n"
	cellSize  = 3
)

var errCut = errors.New("guess: the model is cut off; learn it anew")

// Load reads what Train wrote.
func Load(data string) (*Model, error) {
	head, rest, ok := strings.Cut(data, headEnd)
	lines := strings.Split(head, "\n")
	if !ok || len(lines) != headLines || len(rest) < 12 {
		return nil, errCut
	}
	m := &Model{mark: lines[0], topics: strings.Split(lines[2], "\t"), labels: strings.Split(lines[3], "\t")}
	for _, f := range strings.Fields(lines[1]) {
		v, err := number(f)
		if err != nil {
			return nil, errCut
		}
		m.extra = append(m.extra, v)
	}
	m.parent = parents(m.topics, m.labels)
	for i := range m.scale {
		m.scale[i] = float64(math.Float32frombits(word(rest, i)))
	}
	n := int(word(rest, 2))
	rest = rest[12:]
	if n < 1 || len(rest) < 12*n {
		return nil, errCut
	}
	wide := n * len(m.topics)
	if len(rest) < 12*n+wide {
		return nil, errCut
	}
	m.keys, m.rarity, m.ends = rest[:4*n], rest[4*n:8*n], rest[8*n:12*n]
	m.dense, rest = rest[12*n:12*n+wide], rest[12*n+wide:]
	cells := int(word(m.ends, n-1)) * cellSize
	if len(rest) < cells+8 || slices.Contains(m.parent, -1) {
		return nil, errCut
	}
	m.cells, m.width = rest[:cells], int(word(rest[cells:], 0))
	vectors := int(word(rest[cells:], 1))
	rest = rest[cells+8:]
	outs := len(m.labels) * (m.width + 1)
	switch {
	case m.width == 0 && rest == "":
		return m, nil
	case len(rest) != 4*(outs+n)+vectors*(4+m.width):
		return nil, errCut
	}
	m.out = make([]float32, outs)
	for i := range m.out {
		m.out[i] = math.Float32frombits(word(rest, i))
	}
	m.slots, m.rows = rest[4*outs:4*(outs+n)], rest[4*(outs+n):]
	return m, nil
}

func parents(topics, labels []string) []int {
	out := make([]int, len(labels))
	for i, label := range labels {
		out[i] = slices.Index(topics, Topic(label))
	}
	return out
}

func word(s string, i int) uint32 {
	i *= 4
	return uint32(s[i]) | uint32(s[i+1])<<8 | uint32(s[i+2])<<16 | uint32(s[i+3])<<24
}

// Topic returns the topic of a label: what stands before its first space.
func Topic(label string) string {
	topic, _, _ := strings.Cut(label, " ")
	return topic
}

// Mark returns what the model was marked with.
func (m *Model) Mark() string { return m.mark }

// Topics returns the topics, sorted; they are the model's own.
func (m *Model) Topics() []string { return m.topics }

// Labels returns the labels, those of a topic side by side; they are the
// model's own.
func (m *Model) Labels() []string { return m.labels }

// Extra returns the numbers that were kept with the model.
func (m *Model) Extra() []float64 { return m.extra }

func (m *Model) find(sign string) (int, bool) { return m.findHash(hash(sign)) }

func (m *Model) findHash(h uint32) (int, bool) {
	n := len(m.keys) / 4
	low, high := 0, n
	for low < high {
		if mid := int(uint(low+high) >> 1); word(m.keys, mid) < h {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low, low < n && word(m.keys, low) == h
}

// hash is FNV-1a in 32 bits (Fowler, Noll and Vo).
func hash(sign string) uint32 { return hashOn(2166136261, sign) }

// hashOn goes on with a hash.
func hashOn(h uint32, sign string) uint32 {
	for i := range len(sign) {
		h = (h ^ uint32(sign[i])) * 16777619
	}
	return h
}

// Weigh returns how likely each topic and label is for a message with these
// signs. Words no example had count as Unknown, other signs no example had for
// nothing. The chances stand in room where it is large enough (Room), and last as
// long as that does.
func (m *Model) Weigh(signs []string, room []float64) Chances {
	rows := make([]int, 0, 4*len(signs))
	length := 0.0
	put := func(i int, ok bool) {
		if ok && !slices.Contains(rows, i) {
			rows = append(rows, i)
			r := m.rare(i)
			length += r * r
		}
	}
	unknown, taught := m.find(Unknown)
	for _, s := range signs {
		i, ok := m.find(s)
		if !ok && single(s) {
			i, ok = unknown, taught
		}
		put(i, ok)
		eachPiece(s, func(piece string) { put(m.findHash(hashOn(ofPieces, piece))) })
	}
	sums := append(room[:0], make([]float64, m.Room())...)
	size := len(m.topics) + len(m.labels)
	out := Chances{sums[:len(m.topics)], sums[len(m.topics):size]}
	if i, ok := m.find(always); ok {
		m.add(out, i, 1)
	}
	for _, i := range rows {
		m.add(out, i, m.rare(i)/math.Sqrt(length))
	}
	for i := range sums[:size] {
		sums[i] *= m.scale[part(i, len(m.topics))]
	}
	softmax(out.Topics)
	m.eachTopic(func(_, from, to int) { softmax(out.Labels[from:to]) })
	if m.width > 0 {
		m.second(out, rows, sums[size:])
	}
	return out
}

// eachTopic lists where the labels of each topic stand.
func (m *Model) eachTopic(yield func(topic, from, to int)) {
	for from := 0; from < len(m.labels); {
		to := from
		for to < len(m.labels) && m.parent[to] == m.parent[from] {
			to++
		}
		yield(m.parent[from], from, to)
		from = to
	}
}

// second brings the vectors' opinion to that of the weights: each chance becomes
// the geometric mean of both (Hinton, Neural Computation 14(8), 2002, on products
// of experts).
func (m *Model) second(to Chances, rows []int, room []float64) {
	x, p := room[:m.width], room[m.width:m.width+len(m.labels)]
	length := 0.0
	for _, i := range rows {
		k := int(word(m.slots, i))
		if k == 0 {
			continue
		}
		r := m.rare(i)
		length += r * r
		row := m.rows[(k-1)*(m.width+4) : k*(m.width+4)]
		share := r * float64(math.Float32frombits(word(row, 0)))
		for c, w := range []byte(row[4:]) {
			x[c] += share * float64(int8(w))
		}
	}
	if length > 0 {
		length = math.Sqrt(length)
		for c := range x {
			x[c] /= length
		}
	}
	for i := range p {
		w := m.out[i*(m.width+1):][:m.width+1]
		s := float64(w[m.width])
		for c, xc := range x {
			s += xc * float64(w[c])
		}
		p[i] = s
	}
	softmax(p)
	m.eachTopic(func(topic, from, end int) {
		sum := 0.0
		for _, v := range p[from:end] {
			sum += v
		}
		to.Topics[topic] = math.Sqrt(to.Topics[topic] * sum)
		for i := from; i < end && sum > 0; i++ {
			to.Labels[i] = math.Sqrt(to.Labels[i] * p[i] / sum)
		}
		share(to.Labels[from:end])
	})
	share(to.Topics)
}

// share brings numbers to a sum of 1.
func share(p []float64) {
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	for i := range p {
		p[i] /= sum
	}
}

// Room is how many numbers Weigh writes.
func (m *Model) Room() int { return len(m.topics) + 2*len(m.labels) + m.width }

func (m *Model) rare(i int) float64 { return float64(math.Float32frombits(word(m.rarity, i))) }

func (m *Model) add(to Chances, i int, share float64) {
	for k, w := range []byte(m.dense[i*len(to.Topics) : (i+1)*len(to.Topics)]) {
		to.Topics[k] += share * float64(int8(w))
	}
	from := 0
	if i > 0 {
		from = int(word(m.ends, i-1))
	}
	for c := m.cells[from*cellSize : int(word(m.ends, i))*cellSize]; len(c) >= cellSize; c = c[cellSize:] {
		if k := int(c[0]) | int(c[1])<<8; k < len(to.Labels) { // looked at here, so that a start need not read all
			to.Labels[k] += share * float64(int8(c[2]))
		}
	}
}

// part tells which of the two regressions a column belongs to.
func part(column, topics int) int {
	if column < topics {
		return 0
	}
	return 1
}

// softmax turns logits into probabilities, in place.
func softmax(p []float64) {
	top := slices.Max(p)
	sum := 0.0
	for i := range p {
		p[i] = math.Exp(p[i] - top)
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
}

// pieceMark begins the sign of a word's piece. No word holds it.
const pieceMark = "@#"

var ofPieces = hash(pieceMark)

// pieceSize is how many letters a piece has, and shortest the shortest word that
// has pieces.
const (
	pieceSize = 3
	shortest  = 4
)

// eachPiece lists the pieces of a word, its ends marked: of "cool" they are "<co",
// "coo", "ool", "ol>". By them a word no example had is near those it looks like
// (Bojanowski, Grave, Joulin and Mikolov, TACL 5, 2017).
func eachPiece(sign string, yield func(piece string)) {
	if len(sign) < shortest || !single(sign) {
		return
	}
	word := "<" + sign + ">"
	for i := 0; i+pieceSize <= len(word); i++ {
		yield(word[i : i+pieceSize])
	}
}

// single reports a sign that is a word by itself: no pair, no named thing.
func single(sign string) bool { return !strings.ContainsAny(sign, " @") }

// A cell is a weight of one sign for one label.
type cell struct {
	label  int
	weight int8
}

// A row is what is learnt of one sign.
type row struct {
	rarity float64
	topics []int8
	cells  []cell
	vector []float32 // nil: none
}

// encode writes a model's parts as Load reads them. Of signs with one hash, the
// first in order stays.
func encode(mark string, extra []float64, topics, labels []string, scale [2]float64, rows map[string]row, v vectors) []byte {
	byKey := map[uint32]row{}
	signs := make([]string, 0, len(rows))
	for s := range rows {
		signs = append(signs, s)
	}
	slices.Sort(signs)
	var keys []uint32
	for _, s := range signs {
		h := hash(s)
		if _, taken := byKey[h]; !taken {
			byKey[h] = rows[s]
			keys = append(keys, h)
		}
	}
	slices.Sort(keys)
	numbers := make([]string, len(extra))
	for i, v := range extra {
		numbers[i] = text(v)
	}
	out := []byte(strings.Join([]string{mark, strings.Join(numbers, "\t"), strings.Join(topics, "\t"), strings.Join(labels, "\t")}, "\n") + headEnd)
	le := binary.LittleEndian
	for _, s := range scale {
		out = le.AppendUint32(out, math.Float32bits(float32(s)))
	}
	out = le.AppendUint32(out, uint32(len(keys)))
	for _, k := range keys {
		out = le.AppendUint32(out, k)
	}
	for _, k := range keys {
		out = le.AppendUint32(out, math.Float32bits(float32(byKey[k].rarity)))
	}
	end := 0
	for _, k := range keys {
		end += len(byKey[k].cells)
		out = le.AppendUint32(out, uint32(end))
	}
	for _, k := range keys {
		for _, w := range byKey[k].topics {
			out = append(out, byte(w))
		}
	}
	for _, k := range keys {
		for _, c := range byKey[k].cells {
			out = append(out, byte(c.label), byte(c.label>>8), byte(c.weight))
		}
	}
	width := 0
	if len(v.out) > 0 {
		width = len(v.out[0])
	}
	count := 0
	for _, k := range keys {
		if byKey[k].vector != nil {
			count++
		}
	}
	out = le.AppendUint32(out, uint32(width))
	out = le.AppendUint32(out, uint32(count))
	if width == 0 {
		return out
	}
	for i, w := range v.out {
		for _, x := range append(slices.Clone(w), v.bias[i]) {
			out = le.AppendUint32(out, math.Float32bits(x))
		}
	}
	slot := uint32(0)
	for _, k := range keys {
		if byKey[k].vector == nil {
			out = le.AppendUint32(out, 0)
			continue
		}
		slot++
		out = le.AppendUint32(out, slot)
	}
	for _, k := range keys {
		if w := byKey[k].vector; w != nil {
			out = appendBytes(out, w)
		}
	}
	return out
}

// appendBytes writes a vector: what a step is worth, then its steps.
func appendBytes(out []byte, v []float32) []byte {
	most := float32(0)
	for _, x := range v {
		most = max(most, x, -x)
	}
	step := max(most/math.MaxInt8, math.SmallestNonzeroFloat32)
	out = binary.LittleEndian.AppendUint32(out, math.Float32bits(step))
	for _, x := range v {
		out = append(out, byte(int8(math.Round(float64(x/step)))))
	}
	return out
}
