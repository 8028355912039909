package itemanalysis

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/published"
)

// lsat expands the response patterns of LSAT section 6 or 7: 1000 examinees, 5 questions.
//
// Data: R. D. Bock and M. Lieberman, Psychometrika 35 (1970), pp. 179-197, as
// distributed in the R package psych 2.2.9; testdata/reference/09_lsat_patterns.csv.
func lsat(t testing.TB, section string) Class {
	var c Class
	names := []string{"Q1", "Q2", "Q3", "Q4", "Q5"}
	for _, name := range names {
		c.Questions = append(c.Questions, Question{ID: name, Points: 1})
	}
	for _, row := range published.Rows(t, "09_lsat_patterns.csv") {
		for range int(row.Number(t, section+"_count")) {
			var answers []Answer
			for _, name := range names {
				answers = append(answers, Answer{Right: row[name] == "1"})
			}
			c.Answers = append(c.Answers, answers)
		}
	}
	return c
}

// Every statistic of every question, to the digits that stand there.
//
// Source: computed with R 4.2.2 and psych 2.2.9 (alpha), the discrimination with
// base R and prorated ties; testdata/reference/09_item_stats.csv.
func TestItemsOfLSAT(t *testing.T) {
	analyses := map[string]Analysis{"lsat6": Analyse(lsat(t, "lsat6")), "lsat7": Analyse(lsat(t, "lsat7"))}
	rows := published.Rows(t, "09_item_stats.csv")
	if len(rows) != 10 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		number, err := strconv.Atoi(strings.TrimPrefix(row["item"], "Q"))
		assert.NilError(t, err)
		it := analyses[row["data"]].Items[number-1]
		for column, got := range map[string]float64{
			"p": it.Difficulty, "r_pb": it.PointBiserial, "r_pb_corrected": it.Corrected,
			"alpha_if_deleted": it.AlphaIfDeleted, "D27_prorated": it.Discrimination,
		} {
			if want := row.Number(t, column); math.Abs(got-want) > 1e-13 {
				t.Errorf("%s %s %s: got %.15f, want %.15f", row["data"], row["item"], column, got, want)
			}
		}
	}
}

// Source: computed with R 4.2.2 and psych 2.2.9 (alpha), KR-20, KR-21 and SEM with
// base R; testdata/reference/09_item_analysis_output.txt, seven digits.
func TestReliabilityOfLSAT(t *testing.T) {
	output := readReference(t, "09_item_analysis_output.txt")
	for _, section := range []string{"lsat6", "lsat7"} {
		c := lsat(t, section)
		a := Analyse(c)
		counts := c.counts()
		population, sample := variance(counts, 0), variance(counts, 1)
		for name, got := range map[string]float64{
			"n": float64(a.Learners), "mean": a.Mean, "sd(n-1)": a.SD, "sd(n)": math.Sqrt(population),
			"alpha": a.Alpha, "kr20(pop var)": a.KR20, "kr21(pop)": a.KR21, "kr21(n-1)": KR21(5, a.Mean, sample),
			"SEM(n-1 sd)": a.SEM, "SEM(n sd)": SEM(math.Sqrt(population), a.KR20),
		} {
			found := regexp.MustCompile(section + ` (?:.* )?` + regexp.QuoteMeta(name) + ` ([0-9.]+)`).FindStringSubmatch(output)
			if found == nil {
				t.Fatalf("no %s of %s in the reference", name, section)
			}
			want := published.Number(t, found[1])
			if got := round(got, found[1]); got != want {
				t.Errorf("%s %s: got %v, want %v", section, name, got, want)
			}
		}
		scores := regexp.MustCompile(`(?s)` + section + ` .*?score freq ([0-9 ]+)`).FindStringSubmatch(output)
		for i, want := range strings.Fields(scores[1]) {
			if got := strconv.Itoa(a.Scores[i]); got != want {
				t.Errorf("%s: %s learners with %d points, want %s", section, got, i, want)
			}
		}
	}
}

// round writes a number with as many decimals as the reference has.
func round(x float64, like string) float64 {
	_, decimals, _ := strings.Cut(like, ".")
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', len(decimals), 64), 64)
	return y
}

func readReference(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/reference/" + name)
	assert.NilError(t, err)
	return string(data)
}
