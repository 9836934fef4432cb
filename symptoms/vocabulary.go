package symptoms

// Vocabulary is the shared data from which sentences are understood. It is
// the same for every pack; a pack adds its symptoms and circumstances.
//
// A saying is one or more words. Each word stands for all its inflections,
// =word for that very form, # for any number, and the word "not" inside a
// saying for any word of the sign "not". Articles inside a saying are left
// out; other filler words are passed over in the text where the saying does not
// hold them.
type Vocabulary struct {
	Kinds    []Kind
	Shows    []Word
	Regimes  []RegimeWord
	Ranges   []RangeWord
	Acts     []Act
	Reliefs  []Relief
	Poor     []string // trouble not said how
	Signs    []Sign
	Matters  []Matter
	Numbers  []Number
	Articles []string // single words dropped from sayings and text alike
	Filler   []string // sayings without weight
	Links    []string // small words that carry sense only inside a saying
	Kept     []string // words never taken for a misspelling of another
}

// Kind is a class of trouble that a clean word can clear: starting, running,
// power.
type Kind struct {
	ID, Title string
}

// Word is a manifestation: what is seen, heard or felt.
type Word struct {
	ID, Title string
	Kind      string
	// Near names manifestations to try in turn where a pack does not know
	// this one in the regime named.
	Near []string
	// Covers names the manifestations that a general word ("smokes") may mean.
	Covers []string
	Words  []string
}

// RegimeWord is a regime and the sayings that name it.
type RegimeWord struct {
	ID, Title string
	Axis      string // regimes of one axis exclude one another
	Order     int    // place on the axis, rising from 1; 0: none
	Steady    bool   // a steady engine speed; only such have a band
	// RPM is the band of engine speed in revolutions a minute, {0, 0} for none.
	RPM     [2]float64
	Near    []string // tried in turn where a pack does not know this regime
	Then    []string // what "then it cleans up" means; empty: those above in order
	Phrases []string
}

// RangeWord names several regimes at once: "at all rpm".
type RangeWord struct {
	ID      string
	Regimes []string
	// Everywhere: gives way to any regime named on the same axis, and means all
	// that a pack knows where its regimes do not apply.
	Everywhere bool
	Phrases    []string
}

// Act is something an engine does or is made to do: start, idle, rev.
type Act struct {
	ID      string
	Words   []string
	Regimes []string // regimes it implies
	Kinds   []string // what "does it fine" clears; empty: what the clean word clears
	Refused string   // manifestation of "won't do it"
	Poor    string   // manifestation of "does it badly"
	Does    string   // manifestation of doing it at all
	Affirms []string // manifestations absent if it does it
	Carries bool     // a negation before it reaches the word after it
	Ends    bool     // denies a manifestation that follows it ("stops smoking")
	Follow  []Follow
}

// Follow joins two happenings into one manifestation: starts, then dies.
type Follow struct {
	Show, Means string
}

// Relief is a group of clean words.
type Relief struct {
	ID      string
	Kinds   []string // what they clear
	Changes bool     // "cleans up": clean in what comes after
	Words   []string
}

// Sign is a group of small words that steer the sense. The identifiers are
// fixed: not, only, except, else, until, since, past, above, below, up_to,
// between, to, upward, downward, and, or, but, then, once, if, rpm, thousand,
// hundred.
type Sign struct {
	ID    string
	Words []string
}

// Matter is a thing of an engine's history with its interchangeable words.
type Matter struct {
	ID    string
	Words []string
}

// Number is a number written as a word.
type Number struct {
	Word  string
	Value float64
}
