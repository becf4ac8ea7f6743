// Package questions asks the bot the questions of testdata/questions and
// judges its answers against what their files expect.
//
// It promises the same verdict for the same files and the same bot: the clock
// is held still, each question is its own conversation. It mends nothing and
// knows no trade; the files hold what is right. For tests only.
package questions
