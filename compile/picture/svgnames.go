package picture

import (
	"regexp"
	"strings"
)

// What a drawing may hold.
//
// Source: SVG 2 (W3C Candidate Recommendation, 4 October 2018), element and
// attribute indexes, from memory; of these the ones that draw, that neither run,
// move, nor reach outside the file.

// allowedElements may stand in a drawing.
var allowedElements = words(`
	svg g defs symbol use title desc style
	path rect circle ellipse line polyline polygon
	text tspan textPath marker
	linearGradient radialGradient stop pattern clipPath mask
	filter feBlend feColorMatrix feComponentTransfer feComposite feConvolveMatrix
	feDiffuseLighting feDisplacementMap feDistantLight feDropShadow feFlood feFuncA
	feFuncB feFuncG feFuncR feGaussianBlur feMerge feMergeNode feMorphology feOffset
	fePointLight feSpecularLighting feSpotLight feTile feTurbulence`)

// unwrapped elements go, but what they hold stays.
var unwrapped = words(`a switch`)

// silentElements go without a word, since nobody misses them.
var silentElements = words(`metadata`)

// holdsText are the elements whose text matters.
var holdsText = words(`text tspan textPath title desc style`)

// presentation are the attributes that are style properties as well.
const presentation = `
	alignment-baseline baseline-shift clip-path clip-rule color color-interpolation
	color-interpolation-filters direction display dominant-baseline fill fill-opacity
	fill-rule filter flood-color flood-opacity font font-family font-size font-size-adjust
	font-stretch font-style font-variant font-weight image-rendering letter-spacing
	lighting-color marker marker-end marker-mid marker-start mask mask-type opacity overflow
	paint-order shape-rendering stop-color stop-opacity stroke stroke-dasharray
	stroke-dashoffset stroke-linecap stroke-linejoin stroke-miterlimit stroke-opacity
	stroke-width text-anchor text-decoration text-rendering transform transform-origin
	unicode-bidi vector-effect visibility white-space word-spacing writing-mode`

// allowedProperties may stand in a style.
var allowedProperties = words(presentation + ` line-height text-align mix-blend-mode isolation`)

// allowedAttributes may stand in a drawing when their value is harmless.
var allowedAttributes = words(presentation + `
	amplitude azimuth baseFrequency bias clipPathUnits cx cy d diffuseConstant divisor dx dy
	edgeMode elevation exponent filterUnits fr fx fy gradientTransform gradientUnits height
	in in2 intercept k1 k2 k3 k4 kernelMatrix kernelUnitLength lengthAdjust limitingConeAngle
	markerHeight markerUnits markerWidth maskContentUnits maskUnits method mode numOctaves
	offset operator order orient pathLength patternContentUnits patternTransform patternUnits
	points pointsAtX pointsAtY pointsAtZ preserveAlpha preserveAspectRatio primitiveUnits r
	radius refX refY result rotate rx ry scale seed side slope spacing specularConstant
	specularExponent spreadMethod startOffset stdDeviation stitchTiles surfaceScale
	tableValues targetX targetY textLength type values viewBox width x x1 x2
	xChannelSelector y y1 y2 yChannelSelector z`)

// freeAttributes are names and words for people; nothing reads them as a style.
var freeAttributes = words(`id class lang role aria-hidden aria-label`)

// silentAttributes go without a word, since nobody misses them.
var silentAttributes = words(`version baseProfile enable-background contentStyleType contentScriptType zoomAndPan media`)

// harmlessFunctions may be called in a value.
var harmlessFunctions = words(`
	url rgb rgba hsl hsla calc matrix translate translatex translatey scale scalex scaley rotate
	skewx skewy blur brightness contrast drop-shadow grayscale hue-rotate invert opacity
	saturate sepia inset circle ellipse polygon path`)

var (
	ownReference = regexp.MustCompile(`^#[^\s"'()\\]+$`)
	functionCall = regexp.MustCompile(`([A-Za-z0-9_-]*)\(\s*(["']?#?)`)
)

// isHarmless reports whether a value calls nothing but drawing functions and
// refers to nothing but the drawing itself; it reports a reference to outside.
func (c *cleaner) isHarmless(value string) bool {
	if strings.ContainsAny(value, "\\<{}@") || strings.Contains(value, "/*") {
		c.report("unusual style")
		return false
	}
	for _, call := range functionCall.FindAllStringSubmatch(value, -1) {
		name, begin := strings.ToLower(call[1]), call[2]
		if name == "" {
			continue
		}
		if name == "url" && !strings.HasSuffix(begin, "#") {
			c.report("link to outside")
			return false
		}
		if !harmlessFunctions[name] {
			c.report("function " + name)
			return false
		}
	}
	if scheme := strings.ToLower(value); strings.Contains(scheme, "javascript:") {
		c.report("script")
		return false
	}
	return true
}

func words(list string) map[string]bool {
	set := map[string]bool{}
	for word := range strings.FieldsSeq(list) {
		set[word] = true
	}
	return set
}
