package artwork

import (
	"cmp"
	"slices"

	"presshand/planner/colour"
)

// A MainColour is one of the colours that people would say the art has.
type MainColour struct {
	Hex   colour.Colour `json:"hex"`
	Name  string        `json:"name"`  // nearest CSS name
	Share float64       `json:"share"` // of the area of Bounds, 0..1
	X     int           `json:"-"`     // a pixel of it
	Y     int           `json:"-"`
	cell  int           // its fullest cell in the histogram
}

const (
	// clusterRadius is the CIEDE2000 distance up to which a colour is a shade
	// of another. Around 10 a difference is plain at a glance (see package
	// colour); shading and noise of one colour stay inside.
	clusterRadius = 10.0
	// coreRadius is how far from a cluster's fullest cell its mean is taken: a
	// few times the just seen difference, so noise is averaged out and shading
	// doesn't pull the colour.
	coreRadius = 3.0
	// leastShare of the art's own colours below which a cluster is not a main
	// colour: smoothed edges and noise.
	leastShare = 0.01
	// mostCells bounds the cells that are clustered. Beyond the 2,000 fullest
	// even a photo's cells hold less than a ten-thousandth each.
	mostCells = 2000
	// mostColours bounds the list, for people to read.
	mostColours = 12
	// flatEnough is the share of pixels in flat patches from which these alone
	// decide: art of flat colours has nearly all there, fine lines a third.
	flatEnough = 0.3
)

type cluster struct {
	lab    colour.Lab // of the fullest cell
	core   cell
	weight uint64
}

// mainColours clusters the histogram: cells from the fullest down join the
// nearest cluster within clusterRadius by CIEDE2000 or found one (leader
// clustering: J. A. Hartigan, Clustering Algorithms, 1975, chapter 3). Ties go
// to the cell of less red, green, blue, and to the older cluster.
func (t *tones) mainColours(area int) []MainColour {
	histogram := t.all
	if total := weightOf(t.all); float64(weightOf(t.flat)) >= flatEnough*float64(total) {
		histogram = t.flat
	}
	clusters := gatherClusters(fullest(histogram))
	total := weightOf(t.all)
	sum := uint64(0)
	for _, c := range clusters {
		sum += c.weight
	}
	colours := []MainColour{}
	if sum == 0 {
		return colours
	}
	// Pixels outside flat patches are shared out like those inside.
	perWeight := float64(total) / float64(sum) / 255 / float64(area)
	for _, c := range clusters {
		if float64(c.weight) < leastShare*float64(sum) || len(colours) == mostColours {
			break
		}
		own := c.core.colour()
		colours = append(colours, MainColour{
			Hex:   own,
			Name:  colour.Name(own),
			Share: roundTo(float64(c.weight)*perWeight, shareStep),
			cell:  c.core.index,
		})
	}
	return colours
}

// fullest returns the filled cells, fullest first.
func fullest(histogram []cell) []cell {
	var filled []cell
	for i, c := range histogram {
		if c.weight > 0 {
			c.index = i
			filled = append(filled, c)
		}
	}
	slices.SortStableFunc(filled, func(a, b cell) int { return cmp.Compare(b.weight, a.weight) })
	return filled[:min(len(filled), mostCells)]
}

// gatherClusters returns clusters, heaviest first.
func gatherClusters(filled []cell) []cluster {
	var clusters []cluster
	for _, c := range filled {
		lab := c.colour().Lab()
		best, bestDistance := -1, clusterRadius
		for i := range clusters {
			if !withinReach(lab, clusters[i].lab) {
				continue
			}
			if d := colour.CIEDE2000(lab, clusters[i].lab); d < bestDistance {
				best, bestDistance = i, d
			}
		}
		if best < 0 {
			clusters = append(clusters, cluster{lab: lab, core: c, weight: c.weight})
			continue
		}
		k := &clusters[best]
		k.weight += c.weight
		if bestDistance <= coreRadius {
			k.core.add(c)
		}
	}
	slices.SortStableFunc(clusters, func(a, b cluster) int { return cmp.Compare(b.weight, a.weight) })
	return clusters
}

// withinReach spares the long formula where lightness alone is too far apart.
// CIEDE2000 divides a lightness difference by at most 1.75 (S_L at L* 0 or
// 100), so 18 units are more than clusterRadius.
func withinReach(a, b colour.Lab) bool {
	const apart = clusterRadius * 1.8
	return a.L-b.L < apart && b.L-a.L < apart
}

const (
	// toneShare of a picture's pixels lie in its fullest cells, and a picture
	// counts as continuous tone, a photo or a rich gradient, where these are
	// more than toneCells: flat art with smoothed edges needs under a dozen, a
	// gradient between two colours about thirty, photos hundreds.
	toneShare = 0.8
	toneCells = 48
)

// continuous reports whether the art is made of tones and not of flat colours.
func (t *tones) continuous() bool {
	sorted := fullest(t.all)
	want := toneShare * float64(weightOf(t.all))
	sum := 0.0
	for i, c := range sorted {
		if sum >= want {
			return i > toneCells
		}
		sum += float64(c.weight)
	}
	return len(sorted) > toneCells
}
