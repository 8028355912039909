package page

import "strings"

// icon is a sign for a verb, a fact or a control, drawn for this theme in a square of 24 by 24.
type icon struct{ name, drawing string }

// alsoShown selects, for a sign of the name, what shows it in every step without saying so.
var alsoShown = map[string]string{"clock": ".step > header li:first-child", "mass": ".lift summary", "stop": ".safe-stop"}

// icons are all signs. A page names one by the class "i-NAME"; the style sheet that
// IconStyles gives draws it, so that a page of hundreds of signs carries none of them.
var icons = []icon{
	// verbs: the bar is the seam that a fastener sits in
	{"remove", `<path d="M4 20h16M12 16V4M7 9l5-5 5 5"/>`},
	{"fit", `<path d="M4 20h16M12 3v12M7 10l5 5 5-5"/>`},
	{"loosen", `<path d="M6 8a8 8 0 1 1-2 6M6 3v5h5"/>`},
	{"tighten", `<path d="M18 8a8 8 0 1 0 2 6M18 3v5h-5"/>`},
	{"keep", `<path d="M4 20h16M5 6h14M8 6v14M16 6v14"/>`},
	{"disconnect", `<path d="M2 12h6M16 12h6M8 8v8M16 8v8M11 3l2 3M13 18l-2 3"/>`},
	{"connect", `<path d="M2 12h7M15 12h7M9 7v10M15 7v10M9 10h6M9 14h6"/>`},
	{"drain", `<path d="M12 3c3 4 5 6 5 9a5 5 0 0 1-10 0c0-3 2-5 5-9zM4 21h16"/>`},
	{"fill", `<path d="M5 9v11h14V9M12 2v11M8 9l4 4 4-4"/>`},
	{"flush", `<path d="M3 8c3-3 6 3 9 0s6 3 9 0M3 16c3-3 6 3 9 0s6 3 9 0"/>`},
	{"mark", `<path d="M3 13h18"/><path d="M9 20 15 5" stroke-width="4"/>`},
	{"support", `<path d="M4 7h16v4H4zM12 21V11M7 21h10"/>`},
	{"release", `<path d="M4 4h16v4H4zM12 21v-6M7 21h10M12 12v-1"/>`},
	{"lift", `<path d="M12 2v6M9 8h6M12 8a4 4 0 1 1-4 5M5 21h14"/>`},
	{"set-down", `<path d="M6 10h12v6H6zM3 20h18M12 2v5M9.5 4.5 12 7l2.5-2.5"/>`},
	{"inspect", `<circle cx="10.5" cy="10.5" r="6.5"/><path d="m15.5 15.5 5.5 5.5"/>`},
	{"clean", `<path d="M14 3 9 12M6 12h8l2 3-3 6H5l-1-6zM8 21v-4M12 21v-4"/>`},
	{"establish", `<path d="M12 3v8M6.5 6a8 8 0 1 0 11 0"/>`},
	{"count", `<path d="M5 5v14M9 5v14M13 5v14M17 5v14M3 16 20 8"/>`},
	{"undo", `<path d="M4 9h10a6 6 0 0 1 0 12H8M8 5 4 9l4 4"/>`},
	{"verify", `<path d="M3 12h4l3-7 4 14 3-7h4"/>`},
	// facts and controls
	{"bag", `<path d="M5 8h14l-1.5 13h-11zM9 8c0-6 6-6 6 0"/>`},
	{"stand", `<path d="M3 13h18M6 13v8M18 13v8M9 5h6v8H9z"/>`},
	{"person", `<circle cx="12" cy="7" r="4"/><path d="M4 21c0-9 16-9 16 0"/>`},
	{"tool", `<path d="M15 4a5 5 0 0 0-5 7l-7 7 3 3 7-7a5 5 0 0 0 7-5l-3 2-3-3 2-3z"/>`},
	{"clock", `<circle cx="12" cy="12" r="9"/><path d="M12 7v5l4 2"/>`},
	{"steps", `<path d="M9 6h12M9 12h12M9 18h12M3 6h2M3 12h2M3 18h2"/>`},
	{"pause", `<path d="M8 5v14M16 5v14" stroke-width="4"/>`},
	{"play", `<path d="M7 4v16l13-8z" fill="#000"/>`},
	{"back", `<path d="M15 4 7 12l8 8"/>`},
	{"next", `<path d="m9 4 8 8-8 8"/>`},
	{"down", `<path d="M12 4v15M6 13l6 6 6-6"/>`},
	{"up", `<path d="M12 20V5M6 11l6-6 6 6"/>`},
	{"ready", `<path d="m5 13 5 5L20 6"/>`},
	{"shut", `<path d="M5 11h14v10H5zM8 11V8a4 4 0 0 1 8 0v3"/>`},
	{"stop", `<path d="M7 3h10l4 4v10l-4 4H7l-4-4V7zM9 12h6"/>`},
	{"close", `<path d="m5 5 14 14M19 5 5 19"/>`},
	{"larger", `<path d="M4 9V4h5M20 15v5h-5M4 4l6 6M20 20l-6-6"/>`},
	{"new", `<path d="M12 4v16M4 12h16"/>`},
	{"torque", `<path d="M4 17a8 8 0 1 1 16 0M12 17l5-6M3 21h18"/>`},
	{"mass", `<path d="M7 9h10l3 12H4zM12 9a3 3 0 1 0-.1 0"/>`},
	{"face", `<path d="M5 4v16M9 12h11M15 7l5 5-5 5"/>`},
	{"twin", `<path d="M9 6 3 12l6 6M15 6l6 6-6 6M12 3v18"/>`},
	{"note", `<path d="M5 3h14v12l-5 6H5zM9 8h6M9 12h6"/>`},
	{"finding", `<path d="M6 3v18M6 4h12l-3 4 3 4H6"/>`},
	{"read", `<path d="M3 8h18v8H3zM7 8v4M11 8v3M15 8v4M19 8v3"/>`},
	{"decide", `<path d="M12 21v-8M12 13 5 6M12 13l7-7M5 11V6h5M19 11V6h-5"/>`},
	{"only", `<path d="M12 21v-8M12 13 5 6M12 13l7-7M5 11V6h5"/>`},
	{"round", `<path d="M19 9a8 8 0 1 0 1 6M20 4v6h-6"/>`},
	{"wait", `<path d="M6 3h12M6 21h12M7 3c0 6 10 12 10 18M17 3c0 6-10 12-10 18"/>`},
	{"hazard", `<path d="M12 3 22 20H2zM12 9v5M12 17v.2"/>`},
}

// IconClass is the class of an element that shows the sign of the name.
func IconClass(name string) string { return "i-" + name }

// iconDrawing is the drawing of the sign of the name; empty for none.
func iconDrawing(name string) string {
	for _, i := range icons {
		if i.name == name {
			return i.drawing
		}
	}
	return ""
}

// IconStyle is the asset that a page with signs needs.
const IconStyle = "icons.css"

// StepStyles are the style sheets of the step view, besides that of all pages.
var StepStyles = []string{IconStyle, "step.css", "bench.css", "act.css"}

// IconStyles returns the style sheet that gives every class of IconClass its sign, as
// the mask "--i": whatever shows it has the colour of its own text.
func IconStyles() string {
	var b strings.Builder
	b.WriteString("/* The signs, each as a mask. */\n")
	for _, i := range icons {
		if also := alsoShown[i.name]; also != "" {
			b.WriteString(also + ",")
		}
		b.WriteString("." + IconClass(i.name) + "{--i:url(\"data:image/svg+xml," + inURL.Replace(iconFrame+i.drawing+"</g></svg>") + "\")}\n")
	}
	return b.String()
}

const iconFrame = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24"><g fill="none" stroke="#000" stroke-width="2" stroke-linecap="round" stroke-linejoin="round">`

// inURL makes a drawing fit for a data address in double quotes.
var inURL = strings.NewReplacer(`"`, `'`, "#", "%23", "<", "%3C", ">", "%3E")
