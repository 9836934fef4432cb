// Times BuDDy on a fault tree, for a comparison.
//
// usage: decision TREE
//
// TREE is plain text: the numbers of basic events and gates; the events'
// probabilities; for each gate its kind (0 or, 1 and, 2 at least k), k, the
// number of inputs, and for each input 0 and an event or 1 and an earlier gate.
// The last gate is the top event. Prints the milliseconds of building its
// decision diagram, those of the best evaluation of its probability, and the
// probability.
#include <bdd.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <unordered_map>
#include <vector>

using Clock = std::chrono::steady_clock;

static double since(Clock::time_point t) {
  return std::chrono::duration<double, std::milli>(Clock::now() - t).count();
}

struct Evaluation {
  const std::vector<double>& p;
  std::unordered_map<int, double> known;

  double of(const bdd& f) {
    if (f == bddtrue) return 1;
    if (f == bddfalse) return 0;
    auto it = known.find(f.id());
    if (it != known.end()) return it->second;
    double q = p[bdd_var(f)];
    double x = q * of(bdd_high(f)) + (1 - q) * of(bdd_low(f));
    known.emplace(f.id(), x);
    return x;
  }
};

static bdd gate(int kind, int k, const std::vector<bdd>& in) {
  if (kind < 2) {
    bdd f = kind == 0 ? bddfalse : bddtrue;
    for (auto& x : in) f = kind == 0 ? f | x : f & x;
    return f;
  }
  std::vector<bdd> atLeast(k + 1, bddfalse);
  atLeast[0] = bddtrue;
  for (auto& x : in)
    for (int j = k; j > 0; --j) atLeast[j] |= atLeast[j - 1] & x;
  return atLeast[k];
}

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  std::ifstream in(argv[1]);
  int events = 0, gates = 0;
  in >> events >> gates;
  std::vector<double> p(events);
  for (auto& x : p) in >> x;
  bdd_init(1000000, 200000);
  bdd_setvarnum(events);
  {
    auto begun = Clock::now();
    std::vector<bdd> made;
    for (int g = 0; g < gates; ++g) {
      int kind, k, n;
      in >> kind >> k >> n;
      std::vector<bdd> inputs;
      for (int i = 0; i < n; ++i) {
        int isGate, index;
        in >> isGate >> index;
        inputs.push_back(isGate ? made[index] : bdd_ithvar(index));
      }
      made.push_back(gate(kind, k, inputs));
    }
    double build = since(begun);
    double best = 1e300, value = 0;
    for (int round = 0; round < 50; ++round) {
      auto t = Clock::now();
      Evaluation e{p, {}};
      value = e.of(made.back());
      best = std::min(best, since(t));
    }
    std::cout << build << " " << best << " " << std::setprecision(17) << value << "\n";
  }
  bdd_done();
}
