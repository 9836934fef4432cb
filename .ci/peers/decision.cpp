// Times BuDDy on a fault tree, for a comparison.
//
// usage: decision TREE
//
// TREE is plain text: the numbers of basic events and gates; the events'
// probabilities; for each gate its kind (0 or, 1 and, 2 at least k), k, the
// number of inputs, and for each input 0 and an event or 1 and an earlier gate.
// The last gate is the top event.
//
// Prints a line for each order of the variables, as in the file and depth-first
// from the top: its name, the nodes of the diagram, the milliseconds of building
// it, those of evaluating its probability, and the probability. Each time is the
// best of many. To be as fair as can be, building starts from an empty manager
// every time, without the time to set that up, at the best of several sizes of
// its tables; and the probability is evaluated by one walk along the nodes, put
// in a row beforehand, children first.
#include <bdd.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

using Clock = std::chrono::steady_clock;

static double since(Clock::time_point t) {
  return std::chrono::duration<double, std::milli>(Clock::now() - t).count();
}

struct Gate {
  int kind, k;
  std::vector<std::pair<bool, int>> inputs;  // whether a gate, and which
};

struct Tree {
  std::vector<double> p;
  std::vector<Gate> gates;
};

static bool read(const char* path, Tree& tree) {
  std::ifstream in(path);
  int events = 0, gates = 0;
  in >> events >> gates;
  tree.p.resize(events);
  for (auto& x : tree.p) in >> x;
  tree.gates.resize(gates);
  for (auto& g : tree.gates) {
    int n = 0;
    in >> g.kind >> g.k >> n;
    for (int i = 0; i < n; ++i) {
      int isGate = 0, index = 0;
      in >> isGate >> index;
      g.inputs.push_back({isGate == 1, index});
    }
  }
  return bool(in) && gates > 0;
}

static void visit(const Tree& tree, int gate, std::vector<bool>& seen, std::vector<bool>& placed,
                  std::vector<int>& order) {
  if (seen[gate]) return;
  seen[gate] = true;
  for (auto& [isGate, index] : tree.gates[gate].inputs) {
    if (isGate) {
      visit(tree, index, seen, placed, order);
    } else if (!placed[index]) {
      placed[index] = true;
      order.push_back(index);
    }
  }
}

// The event at each level of the diagram.
static std::vector<int> levels(const Tree& tree, bool depthFirst) {
  std::vector<int> order;
  std::vector<bool> seen(tree.gates.size()), placed(tree.p.size());
  if (depthFirst) visit(tree, int(tree.gates.size()) - 1, seen, placed, order);
  for (int e = 0; e < int(tree.p.size()); ++e)
    if (!placed[e]) order.push_back(e);
  return order;
}

static bdd join(const Gate& g, const std::vector<bdd>& in) {
  if (g.kind < 2) {
    bdd f = g.kind == 0 ? bddfalse : bddtrue;
    for (auto& x : in) f = g.kind == 0 ? f | x : f & x;
    return f;
  }
  std::vector<bdd> atLeast(g.k + 1, bddfalse);
  atLeast[0] = bddtrue;
  for (auto& x : in)
    for (int j = g.k; j > 0; --j) atLeast[j] |= atLeast[j - 1] & x;
  return atLeast[g.k];
}

static bdd build(const Tree& tree, const std::vector<int>& order) {
  std::vector<int> level(order.size());
  for (int i = 0; i < int(order.size()); ++i) level[order[i]] = i;
  std::vector<bdd> made;
  for (auto& g : tree.gates) {
    std::vector<bdd> in;
    for (auto& [isGate, index] : g.inputs) in.push_back(isGate ? made[index] : bdd_ithvar(level[index]));
    made.push_back(join(g, in));
  }
  return made.back();
}

// One function's nodes in a row; 0 and 1 are the constants.
struct Row {
  struct Step {
    int event, low, high;
  };
  const std::vector<int>& order;
  std::vector<Step> steps;
  std::vector<double> value;
  std::unordered_map<int, int> place;
  int top = 0;

  Row(const bdd& f, const std::vector<int>& order) : order(order) {
    place = {{bddfalse.id(), 0}, {bddtrue.id(), 1}};
    top = add(f);
    value.resize(steps.size() + 2);
    value[1] = 1;
  }

  int add(const bdd& f) {
    auto known = place.find(f.id());
    if (known != place.end()) return known->second;
    int low = add(bdd_low(f)), high = add(bdd_high(f));
    steps.push_back({order[bdd_var(f)], low, high});
    return place[f.id()] = int(steps.size()) + 1;
  }

  double probability(const std::vector<double>& p) {
    for (std::size_t i = 0; i < steps.size(); ++i) {
      double q = p[steps[i].event];
      value[i + 2] = q * value[steps[i].high] + (1 - q) * value[steps[i].low];
    }
    return value[top];
  }
};

static void measure(const Tree& tree, bool depthFirst) {
  double building = 1e300, passing = 1e300, value = 0;
  std::size_t nodes = 0;
  for (int size : {20000, 100000, 1000000}) {
    for (int round = 0; round < 20; ++round) {
      bdd_init(size, size / 5);
      bdd_gbc_hook(nullptr);
      bdd_setvarnum(int(tree.p.size()));
      {
        auto t = Clock::now();
        auto order = levels(tree, depthFirst);
        bdd top = build(tree, order);
        building = std::min(building, since(t));
        Row row(top, order);
        nodes = row.steps.size();
        for (int pass = 0; pass < 50; ++pass) {
          t = Clock::now();
          value = row.probability(tree.p);
          passing = std::min(passing, since(t));
        }
      }
      bdd_done();
    }
  }
  std::cout << (depthFirst ? "depth-first" : "file") << " " << nodes << " " << building << " " << passing << " "
            << std::setprecision(17) << value << std::setprecision(6) << "\n";
}

int main(int argc, char** argv) {
  Tree tree;
  if (argc != 2 || !read(argv[1], tree)) {
    std::cerr << "usage: decision TREE, a fault tree as plain text\n";
    return 1;
  }
  measure(tree, false);
  measure(tree, true);
}
