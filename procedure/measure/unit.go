package measure

import (
	"math/big"
	"slices"
	"strings"
)

// Dimension is what a quantity is a quantity of.
type Dimension int

// The dimensions. The zero Dimension belongs to a quantity that is not stated.
const (
	NoDimension Dimension = iota
	Torque
	Force
	Mass
	Length
	Area
	Volume
	Time
	Angle
	Pressure
	Temperature
	Ratio
	Count
	Voltage
	Current
	Resistance
	Power
	Speed // of rotation
	Velocity
	Flow
	Frequency
	Level // of sound, by its logarithm
)

// String returns the dimension's name in lower case.
func (d Dimension) String() string {
	names := [...]string{"nothing", "torque", "force", "mass", "length", "area", "volume", "time", "angle", "pressure",
		"temperature", "ratio", "count", "voltage", "current", "resistance", "power", "rotational speed", "velocity", "flow", "frequency", "sound level"}
	if d < 0 || int(d) >= len(names) {
		return "unknown"
	}
	return names[d]
}

// Units returns the symbols of the dimension's units, in the order of the table.
func (d Dimension) Units() []string {
	var out []string
	for i := range units {
		if units[i].dimension == d {
			out = append(out, units[i].symbol)
		}
	}
	return out
}

// UnitInfo is one row of the unit table, as the language reference prints it.
type UnitInfo struct {
	// Symbol is the one canonical spelling.
	Symbol string
	// Aliases are further spellings that are read, for keyboards without the symbol's characters.
	Aliases []string
	// Name is the unit's name in English.
	Name      string
	Dimension Dimension
	// Base is the symbol of the dimension's first unit and Factor how much of
	// it one unit is: exact, a decimal or a fraction of two decimals.
	Base, Factor string
	// Zero is what the unit's zero is in Base; empty but for scales of temperature.
	Zero string
}

// Units returns the unit table by dimension.
func Units() []UnitInfo {
	out := make([]UnitInfo, len(units))
	for i, u := range units {
		out[i] = UnitInfo{
			Symbol: u.symbol, Aliases: slices.Clone(u.aliases), Name: u.name, Dimension: u.dimension,
			Base: u.dimension.Units()[0], Factor: u.factorText, Zero: u.zeroText,
		}
	}
	return out
}

// unit is one row of the table. factor and zero are never changed once the table is made.
type unit struct {
	symbol    string
	aliases   []string
	wrong     []string // what people write by mistake: never read, but answered with "did you mean"
	name      string
	dimension Dimension

	factorText string
	zeroText   string
	factor     *big.Rat
	zero       *big.Rat // nil for a unit whose zero is the base unit's zero
	base       bool     // a number of it is a number of the base unit
}

// toBase turns a number of this unit into a number of the dimension's first unit. The result may be n itself.
func (u *unit) toBase(n *big.Rat) *big.Rat {
	if u.base {
		return n
	}
	b := new(big.Rat).Mul(n, u.factor)
	if u.zero != nil {
		b.Add(b, u.zero)
	}
	return b
}

// fromBase is the inverse of toBase.
func (u *unit) fromBase(b *big.Rat) *big.Rat {
	if u.base {
		return b
	}
	n := new(big.Rat).Set(b)
	if u.zero != nil {
		n.Sub(n, u.zero)
	}
	return n.Quo(n, u.factor)
}

// units is the table; the first unit of a dimension is its base.
// The pound, the inch and the pound-force are the international ones.
//
// Source: exact definitions in = 25.4 mm, lb = 0.45359237 kg, standard gravity
// 9.80665 m/s², US gallon = 231 in³.
var units = table([]unit{
	{dimension: Torque, symbol: "N·m", name: "newton metre", factorText: "1", aliases: []string{"Nm", "N.m", "N m", "N*m", "N-m", "NM"}},
	{dimension: Torque, symbol: "N·cm", name: "newton centimetre", factorText: "0.01", aliases: []string{"Ncm", "N.cm", "N cm"}},
	{dimension: Torque, symbol: "kgf·m", name: "kilogram-force metre", factorText: "9.80665", aliases: []string{"kgf.m", "kgf m"}, wrong: []string{"kgm", "kg·m", "mkp", "kpm"}},
	{dimension: Torque, symbol: "lbf·ft", name: "pound-force foot", factorText: "1.3558179483314004", aliases: []string{"lbf.ft", "lbf ft", "lb-ft", "ft-lb", "lb·ft", "lb.ft", "lb ft", "ft lb", "ft.lb", "ft·lb", "lbf-ft", "ft·lbf", "ft-lbf", "ft.lbf", "ft lbf", "ft lbs", "ft-lbs", "ft·lbs", "lbs ft", "lbs-ft", "foot-pounds", "foot pounds"}, wrong: []string{"lbft", "ftlb"}},
	{dimension: Torque, symbol: "lbf·in", name: "pound-force inch", factorText: "0.1129848290276167", aliases: []string{"lbf.in", "lbf in", "lb-in", "in-lb", "lb·in", "lb.in", "lb in", "in lb", "in.lb", "in·lb", "lbf-in", "in·lbf", "in-lbf", "in.lbf", "in lbs", "in-lbs", "inch-pounds", "inch pounds"}, wrong: []string{"lbin", "inlb"}},

	{dimension: Force, symbol: "N", name: "newton", factorText: "1", wrong: []string{"newton", "newtons"}},
	{dimension: Force, symbol: "kN", name: "kilonewton", factorText: "1000"},
	{dimension: Force, symbol: "kgf", name: "kilogram-force", factorText: "9.80665", wrong: []string{"kp"}},
	{dimension: Force, symbol: "lbf", name: "pound-force", factorText: "4.4482216152605"},

	{dimension: Mass, symbol: "kg", name: "kilogram", factorText: "1", aliases: []string{"Kg", "KG", "kgs", "kilo", "kilos", "kilogram", "kilograms"}},
	{dimension: Mass, symbol: "g", name: "gram", factorText: "0.001", aliases: []string{"gram", "grams"}, wrong: []string{"gr"}},
	{dimension: Mass, symbol: "t", name: "tonne", factorText: "1000", wrong: []string{"ton", "tons", "tonne", "tonnes"}},
	{dimension: Mass, symbol: "lb", name: "pound", factorText: "0.45359237", aliases: []string{"lbs", "pound", "pounds"}, wrong: []string{"#"}},
	{dimension: Mass, symbol: "oz", name: "ounce", factorText: "0.028349523125", aliases: []string{"ounce", "ounces"}},
	{dimension: Mass, symbol: "short ton", name: "US short ton", factorText: "907.18474"},

	{dimension: Length, symbol: "mm", name: "millimetre", factorText: "1", aliases: []string{"MM", "millimetre", "millimetres", "millimeter", "millimeters"}},
	{dimension: Length, symbol: "µm", name: "micrometre", factorText: "0.001", aliases: []string{"um", "micron", "microns"}},
	{dimension: Length, symbol: "cm", name: "centimetre", factorText: "10"},
	{dimension: Length, symbol: "m", name: "metre", factorText: "1000", aliases: []string{"metre", "metres", "meter", "meters"}},
	{dimension: Length, symbol: "in", name: "inch", factorText: "25.4", aliases: []string{"\"", "″", "”", "inch", "inches"}},
	{dimension: Length, symbol: "ft", name: "foot", factorText: "304.8", aliases: []string{"foot", "feet"}, wrong: []string{"'", "′", "’"}},

	{dimension: Area, symbol: "mm²", name: "square millimetre", factorText: "1", aliases: []string{"mm2"}},
	{dimension: Area, symbol: "cm²", name: "square centimetre", factorText: "100", aliases: []string{"cm2"}},
	{dimension: Area, symbol: "m²", name: "square metre", factorText: "1000000", aliases: []string{"m2"}, wrong: []string{"sqm", "qm"}},

	{dimension: Volume, symbol: "L", name: "litre", factorText: "1", aliases: []string{"l", "ltr", "litre", "litres", "liter", "liters"}, wrong: []string{"lt"}},
	{dimension: Volume, symbol: "mL", name: "millilitre", factorText: "0.001", aliases: []string{"ml", "cc", "ccm"}},
	{dimension: Volume, symbol: "m³", name: "cubic metre", factorText: "1000", aliases: []string{"m3"}, wrong: []string{"cbm"}},
	{dimension: Volume, symbol: "cm³", name: "cubic centimetre", factorText: "0.001", aliases: []string{"cm3"}},
	{dimension: Volume, symbol: "US gal", name: "US gallon", factorText: "3.785411784", wrong: []string{"gal", "gallon", "gallons"}},
	{dimension: Volume, symbol: "US qt", name: "US liquid quart", factorText: "0.946352946", wrong: []string{"qt", "quart", "quarts"}},
	{dimension: Volume, symbol: "US fl oz", name: "US fluid ounce", factorText: "0.0295735295625", wrong: []string{"fl oz", "floz"}},

	{dimension: Time, symbol: "min", name: "minute", factorText: "1", aliases: []string{"mins", "minute", "minutes", "Min", "Minute", "Minuten"}},
	{dimension: Time, symbol: "s", name: "second", factorText: "1/60", aliases: []string{"sec", "secs", "second", "seconds", "Sekunden"}},
	{dimension: Time, symbol: "h", name: "hour", factorText: "60", aliases: []string{"hr", "hrs", "hour", "hours", "Std", "Stunde", "Stunden"}},

	{dimension: Angle, symbol: "°", name: "degree", factorText: "1", aliases: []string{"deg", "º", "˚", "degree", "degrees", "Grad"}},

	{dimension: Pressure, symbol: "kPa", name: "kilopascal", factorText: "1"},
	{dimension: Pressure, symbol: "Pa", name: "pascal", factorText: "0.001"},
	{dimension: Pressure, symbol: "MPa", name: "megapascal", factorText: "1000", wrong: []string{"N/mm²", "N/mm2"}},
	{dimension: Pressure, symbol: "bar", name: "bar", factorText: "100", wrong: []string{"bars"}},
	{dimension: Pressure, symbol: "mbar", name: "millibar", factorText: "0.1"},
	{dimension: Pressure, symbol: "psi", name: "pound-force per square inch", factorText: "4.4482216152605/0.64516", wrong: []string{"lb/in²", "lbf/in²"}},

	{dimension: Temperature, symbol: "K", name: "kelvin", factorText: "1", wrong: []string{"°K"}},
	{dimension: Temperature, symbol: "°C", name: "degree Celsius", factorText: "1", zeroText: "273.15", aliases: []string{"degC"}, wrong: []string{"C", "º C", "ºC", "° C", "celsius"}},
	{dimension: Temperature, symbol: "°F", name: "degree Fahrenheit", factorText: "5/9", zeroText: "2298.35/9", aliases: []string{"degF"}, wrong: []string{"F", "ºF", "° F", "fahrenheit"}},

	{dimension: Ratio, symbol: "%", name: "percent", factorText: "1", aliases: []string{"percent", "per cent", "pct"}},
	{dimension: Count, symbol: "pcs", name: "pieces", factorText: "1", aliases: []string{"pc", "piece", "pieces", "off", "ea", "each", "Stück", "Stk", "St"}, wrong: []string{"x"}},

	{dimension: Voltage, symbol: "V", name: "volt", factorText: "1", aliases: []string{"volt", "volts"}},
	{dimension: Voltage, symbol: "mV", name: "millivolt", factorText: "0.001"},
	{dimension: Current, symbol: "A", name: "ampere", factorText: "1", aliases: []string{"amp", "amps"}},
	{dimension: Current, symbol: "mA", name: "milliampere", factorText: "0.001"},
	{dimension: Resistance, symbol: "Ω", name: "ohm", factorText: "1", aliases: []string{"ohm", "ohms"}},
	{dimension: Resistance, symbol: "kΩ", name: "kiloohm", factorText: "1000", aliases: []string{"kohm"}},
	{dimension: Resistance, symbol: "MΩ", name: "megaohm", factorText: "1000000", aliases: []string{"Mohm"}},
	{dimension: Power, symbol: "W", name: "watt", factorText: "1", aliases: []string{"watt", "watts"}},
	{dimension: Power, symbol: "kW", name: "kilowatt", factorText: "1000"},
	{dimension: Speed, symbol: "r/min", name: "revolutions per minute", factorText: "1", aliases: []string{"rpm"}, wrong: []string{"U/min", "rev/min", "min-1"}},

	{dimension: Velocity, symbol: "mm/s", name: "millimetres per second", factorText: "1", wrong: []string{"mm/sec", "mm·s"}},
	{dimension: Velocity, symbol: "m/s", name: "metres per second", factorText: "1000", wrong: []string{"m/sec"}},
	{dimension: Velocity, symbol: "in/s", name: "inches per second", factorText: "25.4", wrong: []string{"in/sec", "ips"}},

	{dimension: Flow, symbol: "L/min", name: "litres per minute", factorText: "1", aliases: []string{"l/min"}, wrong: []string{"lpm"}},
	{dimension: Flow, symbol: "L/h", name: "litres per hour", factorText: "1/60", aliases: []string{"l/h"}},
	{dimension: Flow, symbol: "L/s", name: "litres per second", factorText: "60", aliases: []string{"l/s"}},
	{dimension: Flow, symbol: "m³/h", name: "cubic metres per hour", factorText: "1000/60", aliases: []string{"m3/h"}, wrong: []string{"cbm/h"}},
	{dimension: Flow, symbol: "US gal/min", name: "US gallons per minute", factorText: "3.785411784", wrong: []string{"gpm"}},

	{dimension: Frequency, symbol: "Hz", name: "hertz", factorText: "1", wrong: []string{"hz"}},
	{dimension: Frequency, symbol: "kHz", name: "kilohertz", factorText: "1000"},

	{dimension: Level, symbol: "dB", name: "decibel", factorText: "1", wrong: []string{"db"}},
})

// spellings leads from each symbol and alias to its unit.
var spellings = func() map[string]*unit {
	m := make(map[string]*unit, 3*len(units))
	for i := range units {
		u := &units[i]
		for _, s := range append([]string{u.symbol}, u.aliases...) {
			m[s] = u
		}
	}
	return m
}()

func table(rows []unit) []unit {
	for i := range rows {
		rows[i].factor = fraction(rows[i].factorText)
		if rows[i].zeroText != "" {
			rows[i].zero = fraction(rows[i].zeroText)
		}
		rows[i].base = rows[i].factorText == "1" && rows[i].zero == nil
	}
	return rows
}

// fraction reads a decimal, or two decimals with a slash between them.
func fraction(s string) *big.Rat {
	over, under, divided := strings.Cut(s, "/")
	r, ok := new(big.Rat).SetString(over)
	if divided && ok {
		var d *big.Rat
		if d, ok = new(big.Rat).SetString(under); ok {
			r.Quo(r, d)
		}
	}
	if !ok {
		panic("measure: bad factor in the unit table: " + s)
	}
	return r
}

// lookup finds a unit by symbol or alias.
func lookup(s string) (*unit, bool) {
	if u, ok := spellings[s]; ok {
		return u, true
	}
	u, ok := spellings[plainSpelling(s)]
	return u, ok
}

// plainSpelling folds characters that look the same in print: the dot operator
// and the middle dot, the Greek mu and the micro sign, the ohm sign and the
// Greek omega, and all kinds of space.
func plainSpelling(s string) string {
	return strings.Join(strings.Fields(lookAlikes.Replace(s)), " ")
}

var lookAlikes = strings.NewReplacer("⋅", "·", "•", "·", "μ", "µ", "\u2126", "Ω")
