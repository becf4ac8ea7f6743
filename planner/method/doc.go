// Package method decides which transfer method suits a blank, and says why.
//
// It knows no fabric, no colour and no method by itself: rules, lightness
// classes and methods come in with the Problem, as data. A rule that holds
// gives its verdict for one method; the worst verdict of a method's rules is
// the method's verdict, and the rules that carry it are the reason.
//
// A blank is often half told ("a white tee"). A condition on something that
// was not said neither holds nor fails: its rule stays out, and Solve tries
// the usual completions to find out whether the missing thing would change
// the recommendation. Only then is it worth a question.
package method
