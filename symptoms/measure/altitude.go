package measure

import (
	"fmt"
	"math"

	"narrows/symptoms/quantity"
)

// Constants of the ISO 2533 standard atmosphere, from memory: at sea level 1013.25
// hPa and 288.15 K, falling by 6.5 K a km; the exponent is g/(R L) with g =
// 9.80665 m/s2 and R = 287.05287 J/(kg K).
const (
	seaLevel    = 1013.25 // hPa
	seaLevelK   = 288.15
	lapse       = 0.0065 // K/m
	isoExponent = 9.80665 / (287.05287 * lapse)
)

// Heights at which a pressure can be referred to sea level, in m: from the lowest
// shores on land to where engines of this kind are worked.
const lowestHeight, highestHeight = -450.0, 5000.0

// Weather is the standard uncertainty of the air pressure about that of the
// standard atmosphere, as a share of it: 1.5 %, judgement.
const Weather = 0.015

// StandardPressure is the air pressure in hPa of the ISO 2533 standard atmosphere at
// a height of so many m above the sea, at most 11,000:
//
//	p = 1013.25 hPa (1 - 0.0065 h/288.15)^5.2559
//
// The height is the geopotential one; taking the geometric for it is wrong by under
// 0.05 % of p up to 5000 m.
func StandardPressure(metres float64) float64 {
	return seaLevel * math.Pow(1-float64(lapse*metres)/seaLevelK, isoExponent)
}

// ToSeaLevel refers a gauge pressure g of cranking compression, read at a height at
// which the air has the pressure p, to sea level. What is compressed is the air that
// is drawn in, so the absolute pressure is in proportion to p:
//
//	(g + p) p0/p - p0 = g p0/p
//	u^2 = (u(g) p0/p)^2 + (g p0/p^2)^2 u(p)^2               GUM 5.1.2
//	u(p)^2 = (dp/dh u(h))^2 + (1.5 % p)^2
//
// with p0 = 1013.25 hPa and p of the standard atmosphere. The part of p is one for
// all readings at that place on that day, and is marked as shared. It is refused
// below -450 m and above 5000 m, and for a height that is no length. It holds for
// cranking compression, not for oil, fuel or manifold pressures.
func (r Reading) ToSeaLevel(height Input) (Reading, error) {
	if d := r.Unit.Dimension(); d != quantity.Pressure {
		return Reading{}, fmt.Errorf("only a pressure can be referred to sea level, and this reading is %s; take the correction off", d.Noun())
	}
	if r.corrected(Altitude) {
		return Reading{}, fmt.Errorf("the reading is referred to sea level already; once is enough")
	}
	metre, err := quantity.ParseUnit("m")
	if err != nil {
		return Reading{}, err
	}
	h, doubt, err := height.standard(metre)
	if err != nil {
		return Reading{}, fmt.Errorf("the height above the sea: %w", err)
	}
	if h < lowestHeight || h > highestHeight {
		return Reading{}, fmt.Errorf("a height of %s is outside -450 to 5000 m; type the height above the sea again", height.Quantity)
	}
	p := StandardPressure(h)
	slope := p * float64(isoExponent*lapse) / (seaLevelK - float64(lapse*h)) // hPa/m, downward
	share := math.Hypot(slope*doubt/p, Weather)
	up := seaLevel / p
	after := r.Value * up
	return r.with(Altitude, height, after, up, Component{Name: "air pressure", U: math.Abs(after) * share, Shared: "air"}), nil
}
