// Package fakeworkspace is a messaging workspace for tests: the web API, the
// socket with its envelopes, acknowledgements and repeats, files, and faults on
// demand. It shares no code and no types with the library the bot uses, so that
// the bot is not judged by the code it is built on.
//
// It listens on a network in memory, which works inside a testing/synctest
// bubble: there hours pass in an instant. ListenTCP serves the same on a real
// port, for other programs.
//
// What it does not do: it holds no permissions beyond the bot token, and checks
// no block; tests read what was posted and check it themselves.
package fakeworkspace
