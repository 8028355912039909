package record

// The bounds of a record; a reader refuses what lies beyond with a message.
const (
	MostBytes      = 64 << 20 // of a file, photos inside
	MostPhotoBytes = 2 << 20  // of one photo, decoded
	MostPhotos     = 200      // of a record
	MostFindings   = 1000
	MostEntries    = 20_000 // of each map
	MostTablets    = 64
	LongestText    = 2000 // characters of words and repairs
	LongestName    = 80   // characters of a learner, a machine, a thing
	LongestSide    = 4096 // pixels of a photo; tablets scale to PhotoSide
	PhotoSide      = 1600
	LongestLines   = 20_000 // characters of all lines of a hold point
	// LatestMoment is the start of the year 2100 in milliseconds since 1970. What is beyond is read as this.
	LatestMoment = 4_102_444_800_000
)
