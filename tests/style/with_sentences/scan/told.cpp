// Not compiled: what tests/style/no_sentences.py must find, a line each, and what it must not.
void told() {
  result.message = "The log forks near its end.";                       // found
  text << "Between " << begin_m;                                        // found
  const std::string joined = name + " is missing";                      // found
  require(begin_m >= 0, "the begin of a stretch must be positive");     // goes into an exception
  throw InputError(file + " is " + (empty ? "an empty file" : "bad"));  // goes into an exception
  const char* key = "baseColorFactor";
}
