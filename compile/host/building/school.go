package building

// Overview is the board over all workshops of a database.
type Overview struct {
	// Away is since when the database cannot be reached; empty while it can.
	Away      string
	Waiting   []OverviewWait
	Workshops []OverviewWorkshop
}

// OverviewWait is something that waits for a signature.
type OverviewWait struct {
	Workshop, Machine, What, Who string
	// At is since when in milliseconds since 1970, and Since the same for people.
	At    int64
	Since string
}

// OverviewWorkshop is one workshop today.
type OverviewWorkshop struct {
	Name string
	// Own is true for the one whose board stands beside this one.
	Own bool
	// There says that a host serves it, and Since when one did last; empty for never.
	There bool
	Since string
	// Tablets are those in the class; Jobs, Waits, open Findings, Tries and those Passed are today's.
	Tablets, Jobs, Waits, Findings, Tries, Passed int
	// Lines are the jobs that changed last.
	Lines []OverviewJob
}

// OverviewJob is a job in the list of a workshop.
type OverviewJob struct {
	Machine, Title, Changed string
	Who                     []OverviewLearner
}

// OverviewLearner says where somebody is.
type OverviewLearner struct{ Name, Where string }

// Overview makes the board over all workshops.
func (b *Building) Overview(v Overview) ([]byte, error) {
	return render(overviewPage(b.Words, b.Title, v))
}

// Accounts is the page on accounts.
type Accounts struct {
	// Who looks at it, and All says that all accounts may be changed by whoever that is.
	Who   string
	All   bool
	List  []Account
	Roles []string
	// Shortest is how many characters a password has at least.
	Shortest int
}

// Account is an account in the list.
type Account struct {
	Number     int64
	Name, Role string
}

// Accounts makes the page on accounts.
func (b *Building) Accounts(v Accounts) ([]byte, error) {
	return render(accountsPage(b.Words, b.Title, v))
}
