package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"presshand/bot/store"
	"presshand/bot/workspace"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// doctorCommand checks everything the bot needs, and says how to mend it. It
// never prints a token.
type doctorCommand struct {
	APIURL string `name:"api-url" default:"https://slack.com/api/" placeholder:"URL" help:"Another API address; it ends in a slash."`
}

// callLimit bounds one call of the doctor's.
const callLimit = 8 * time.Second

// clockOff is how far the clock may be from the workspace's: requests signed
// more than five minutes off are refused, so half of that is time to act.
const clockOff = 150 * time.Second

// A finding is one line of the doctor's.
type finding struct {
	what string
	said string
	mend string // how to mend it; "" where all is well
	open bool   // could not be checked
}

// Run implements the command: exit 1 where something is to be mended.
func (c *doctorCommand) Run(s *session) error {
	if !strings.HasSuffix(c.APIURL, "/") {
		return usageError{fmt.Errorf("--api-url %s must end in a slash", c.APIURL)}
	}
	var all []finding
	all = append(all, s.examineTokens()...)
	all = append(all, c.examineWorkspace(s)...)
	all = append(all, s.examineStore(), s.examineKnowledge(), s.examineProfile(), s.examineClock())
	ill := 0
	for _, f := range all {
		switch {
		case f.mend != "":
			ill++
			s.print("mend       " + f.what + ": " + oneLine(f.said) + "; " + oneLine(f.mend))
		case f.open:
			s.print("unchecked  " + f.what + ": " + oneLine(f.said))
		default:
			s.print("ok         " + f.what + ": " + oneLine(f.said))
		}
	}
	if ill > 0 {
		fmt.Fprintf(s.streams.Err, "presshand: %d to mend\n", ill)
		return errTold
	}
	return nil
}

// tokens are what the workspace needs, each with its prefix.
func tokens() []struct{ name, prefix, from string } {
	return []struct{ name, prefix, from string }{
		{"SLACK_BOT_TOKEN", "xoxb-", "install the app of presshand slack manifest and copy its bot token into the environment"},
		{"SLACK_APP_TOKEN", "xapp-", "make an app-level token with the scope connections:write and put it into the environment"},
	}
}

func (s *session) examineTokens() []finding {
	var out []finding
	for _, t := range tokens() {
		f := finding{what: t.name, said: "set, begins with " + t.prefix}
		switch value := s.getenv(t.name); {
		case value == "":
			f.said, f.mend = "not set", t.from
		case !strings.HasPrefix(value, t.prefix):
			f.said, f.mend = "does not begin with "+t.prefix, "the two tokens may have been swapped; "+t.from
		case strings.TrimSpace(value) != value || len(strings.Fields(value)) != 1:
			f.said, f.mend = "holds a blank", "copy it again without blanks or line ends"
		}
		out = append(out, f)
	}
	f := finding{what: "SLACK_SIGNING_SECRET", said: "set"}
	if s.getenv("SLACK_SIGNING_SECRET") == "" {
		f.said, f.open = "not set; only slack --http needs it", true
	}
	return append(out, f)
}

// examineWorkspace asks the workspace whether it knows the tokens, which scopes
// they have, and what time it is there.
func (c *doctorCommand) examineWorkspace(s *session) []finding {
	bot, app := s.getenv("SLACK_BOT_TOKEN"), s.getenv("SLACK_APP_TOKEN")
	var out []finding
	if strings.HasPrefix(bot, "xoxb-") {
		out = append(out, c.examineBot(s.ctx, bot)...)
	}
	if strings.HasPrefix(app, "xapp-") {
		said, err := c.call(s.ctx, "apps.connections.open", app)
		f := finding{what: "app token", said: "the workspace opens a connection for it"}
		switch {
		case err != nil:
			f.said, f.open = err.Error(), true
		case !said.OK:
			f.said, f.mend = "refused: "+said.Error, "make an app-level token with the scope connections:write, with Socket Mode switched on"
		}
		out = append(out, f)
	}
	return out
}

func (c *doctorCommand) examineBot(ctx context.Context, token string) []finding {
	said, err := c.call(ctx, "auth.test", token)
	if err != nil {
		return []finding{{what: "workspace", said: err.Error(), open: true}}
	}
	if !said.OK {
		return []finding{{what: "bot token", said: "refused: " + said.Error, mend: "install the app again and copy the new token"}}
	}
	scopes := finding{what: "scopes", said: "all that are needed"}
	if missing := missingScopes(said.scopes); len(missing) > 0 {
		scopes.said, scopes.mend = "missing "+strings.Join(missing, ", "), "install the app again from presshand slack manifest"
	} else if said.scopes == "" {
		scopes.said, scopes.open = "the workspace did not tell them", true
	}
	clock := finding{what: "clock", said: "agrees with the workspace's"}
	switch off := time.Since(said.date).Round(time.Second); {
	case said.date.IsZero():
		clock.said, clock.open = "the workspace did not tell its time", true
	case off.Abs() > clockOff:
		clock.said, clock.mend = "off by "+off.String(), "set the machine's clock, best from a time server"
	}
	return []finding{{what: "bot token", said: "the workspace knows it as " + said.User + " in " + said.Team}, scopes, clock}
}

// An apiWord is what a method of the web API answers.
type apiWord struct {
	OK     bool   `json:"ok"`
	Error  string `json:"error"`
	User   string `json:"user"`
	Team   string `json:"team"`
	scopes string
	date   time.Time
}

func (c *doctorCommand) call(ctx context.Context, method, token string) (apiWord, error) {
	var said apiWord
	ctx, cancel := context.WithTimeout(ctx, callLimit)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, c.APIURL+method, nil)
	if err != nil {
		return said, errors.New("the API address can't be read")
	}
	req.Header.Set("Authorization", "Bearer "+token)
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return said, fmt.Errorf("%s is not reachable from here", c.APIURL)
	}
	defer resp.Body.Close()
	if err := json.NewDecoder(io.LimitReader(resp.Body, 1<<20)).Decode(&said); err != nil {
		return said, fmt.Errorf("%s does not answer like the API (status %d)", c.APIURL, resp.StatusCode)
	}
	said.scopes = resp.Header.Get("X-OAuth-Scopes")
	said.date, _ = http.ParseTime(resp.Header.Get("Date")) // the zero time: not told
	return said, nil
}

// missingScopes lists the scopes of the manifest that granted lacks; an empty
// list says nothing.
func missingScopes(granted string) []string {
	text, err := workspace.Manifest("")
	if err != nil || granted == "" {
		return nil
	}
	var manifest struct {
		OAuth struct {
			Scopes struct {
				Bot []string `yaml:"bot"`
			} `yaml:"scopes"`
		} `yaml:"oauth_config"`
	}
	if err := yaml.Unmarshal(text, &manifest); err != nil {
		return nil
	}
	var missing []string
	for _, scope := range manifest.OAuth.Scopes.Bot {
		if !slices.Contains(strings.FieldsFunc(granted, func(r rune) bool { return r == ',' || r == ' ' }), scope) {
			missing = append(missing, scope)
		}
	}
	return missing
}

func (s *session) examineStore() finding {
	f := finding{what: "store"}
	if s.flags.Data == "" {
		f.said, f.open = "none is named; --data DIR keeps orders, waits and conversations", true
		return f
	}
	if _, err := os.Stat(filepath.Join(s.flags.Data, store.FileName)); errors.Is(err, os.ErrNotExist) {
		f.said, f.open = "there is none in "+s.flags.Data+" yet; it is made at the first start", true
		return f
	}
	kept, err := s.openStore()
	if err != nil {
		f.said, f.mend = err.Error(), mendStore(err)
		return f
	}
	report, err := kept.Check(s.ctx)
	switch {
	case err != nil:
		f.said, f.mend = err.Error(), mendStore(err)
	case len(report.Faults) > 0:
		f.said, f.mend = report.Faults[0], "copy "+kept.Path()+" aside and put the last backup in its place"
	default:
		f.said = fmt.Sprintf("sound, %d %s", report.Counts[0].N, report.Counts[0].What)
	}
	return f
}

func mendStore(err error) string {
	var fault *store.Fault
	if errors.As(err, &fault) {
		return fault.Plain()
	}
	return "name a folder that may be written with --data"
}

func (s *session) examineKnowledge() finding {
	shelf, base, err := s.shelf()
	if err != nil {
		return finding{what: "knowledge", said: err.Error(), mend: "run presshand knowledge check, it shows each fault with its place"}
	}
	said := fmt.Sprintf("no faults, %d methods, %d blanks, %d faults and guides", len(base.Methods), len(base.Blanks), len(base.Faults)+len(base.Guides))
	if n := len(base.ShopRules); n > 0 {
		said += fmt.Sprintf(", %d entries of shop rules", n)
	}
	var folder *knowledge.FolderError
	if err := shelf.Writable(); s.flags.Knowledge != "" && errors.As(err, &folder) {
		return finding{what: "knowledge", said: said + "; no rule can be saved by chat: " + folder.Plain(), open: true}
	}
	return finding{what: "knowledge", said: said}
}

func (s *session) examineProfile() finding {
	f := finding{what: "shop profile"}
	base, err := s.base()
	if err != nil {
		f.said, f.open = "waits for the knowledge to be mended", true
		return f
	}
	profile, err := s.profile(base)
	var problems shop.Problems
	switch {
	case errors.As(err, &problems):
		f.said, f.mend = fmt.Sprintf("%d %s", len(problems), faults(len(problems))), "run presshand shop check "+s.flags.Shop
	case err != nil:
		f.said, f.mend = err.Error(), "write one to start from with presshand shop init"
	case profile.Example:
		f.said, f.open = "the built-in example shop; write your own with presshand shop init and name it with --shop", true
	case len(profile.Owners) == 0:
		f.said, f.mend = profile.Name+" names no owners", "list the workspace ids of those who may see costs under owners"
	default:
		f.said = fmt.Sprintf("%s, %d owners", profile.Name, len(profile.Owners))
	}
	return f
}

// earliest is before this program was written: a clock that is earlier was
// never set.
func (s *session) examineClock() finding {
	earliest := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	now, err := s.clock()
	switch {
	case err != nil:
		return finding{what: "time", said: err.Error(), mend: "write --now as 2026-11-25T09:00:00-05:00"}
	case now().Before(earliest):
		return finding{what: "time", said: now().Format(time.RFC3339), mend: "set the machine's clock, it was never set"}
	}
	return finding{what: "time", said: now().Format(time.RFC3339)}
}
