// Times dlib's join tree on a discrete Bayesian network, for a comparison.
//
// usage: jointree NETWORK EVIDENCE MARGINALS
//
// NETWORK is plain text: the number of variables; their numbers of states; then
// for each variable the number of its parents, the parents, and its table, the
// parents' values running in order and the variable's own fastest. EVIDENCE is
// the number of pairs, then variable and state. All marginals go to MARGINALS, a
// line a variable. Prints the milliseconds of building the tree, those of a query
// of all marginals, each the best of several, and how many entries the tables of
// the tree have together. The library's containers are those without checks.
#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <numeric>
#include <vector>

using Clock = std::chrono::steady_clock;

static double since(Clock::time_point t) {
  return std::chrono::duration<double, std::milli>(Clock::now() - t).count();
}

struct Variable {
  std::vector<unsigned long> parents;
  std::vector<double> table;
};

static unsigned long component(std::vector<unsigned long>& of, unsigned long v) {
  while (of[v] != v) v = of[v] = of[of[v]];
  return v;
}

int main(int argc, char** argv) {
  if (argc != 4) return 2;
  std::ifstream in(argv[1]);
  unsigned long n = 0;
  in >> n;
  std::vector<unsigned long> card(n);
  for (auto& c : card) in >> c;
  std::vector<Variable> var(n);
  for (unsigned long v = 0; v < n; ++v) {
    unsigned long k = 0;
    in >> k;
    var[v].parents.resize(k);
    std::size_t size = card[v];
    for (auto& p : var[v].parents) {
      in >> p;
      size *= card[p];
    }
    var[v].table.resize(size);
    for (auto& x : var[v].table) in >> x;
  }
  if (!in) {
    std::cerr << "the network cannot be read\n";
    return 1;
  }

  // The library wants one connected graph: components are tied by variables
  // that do not depend on them.
  std::vector<unsigned long> of(n);
  std::iota(of.begin(), of.end(), 0ul);
  for (unsigned long v = 0; v < n; ++v)
    for (auto p : var[v].parents) of[component(of, p)] = component(of, v);
  std::vector<unsigned long> roots;
  for (unsigned long v = 0; v < n; ++v)
    if (component(of, v) == v) roots.push_back(v);

  using namespace dlib;
  using namespace dlib::bayes_node_utils;
  directed_graph<bayes_node>::kernel_1a net;
  net.set_number_of_nodes(n + roots.size() - 1);
  for (unsigned long v = 0; v < n; ++v) {
    for (auto p : var[v].parents) net.add_edge(p, v);
    set_node_num_values(net, v, card[v]);
  }
  for (unsigned long i = 1; i < roots.size(); ++i) {
    net.add_edge(roots[0], n + i - 1);
    net.add_edge(roots[i], n + i - 1);
    set_node_num_values(net, n + i - 1, 2);
  }
  for (unsigned long v = 0; v < n; ++v) {
    assignment given;
    for (auto p : var[v].parents) given.add(p, 0);
    for (std::size_t row = 0; row < var[v].table.size(); ++row) {
      std::size_t rest = row / card[v];
      for (auto p = var[v].parents.rbegin(); p != var[v].parents.rend(); ++p) {
        given[*p] = rest % card[*p];
        rest /= card[*p];
      }
      set_node_probability(net, v, row % card[v], given, var[v].table[row]);
    }
  }
  for (unsigned long i = 1; i < roots.size(); ++i)
    for (unsigned long x = 0; x < card[roots[0]]; ++x)
      for (unsigned long y = 0; y < card[roots[i]]; ++y)
        for (unsigned long s = 0; s < 2; ++s) {
          assignment given;
          given.add(roots[0], x);
          given.add(roots[i], y);
          set_node_probability(net, n + i - 1, s, given, 0.5);
        }

  typedef dlib::set<unsigned long>::compare_1b set_type;
  graph<set_type, set_type>::kernel_1a tree;
  double build = 1e300;
  for (int round = 0; round < 20; ++round) {
    graph<set_type, set_type>::kernel_1a made;
    auto t = Clock::now();
    create_moral_graph(net, made);
    create_join_tree(made, made);
    build = std::min(build, since(t));
    made.swap(tree);
  }
  double entries = 0;
  for (unsigned long i = 0; i < tree.number_of_nodes(); ++i) {
    double size = 1;
    set_type& clique = tree.node(i).data;
    for (clique.reset(); clique.move_next();) {
      unsigned long v = clique.element();
      size *= v < n ? card[v] : 2;
    }
    entries += size;
  }

  std::ifstream evidence(argv[2]);
  unsigned long pairs = 0;
  if (!(evidence >> pairs)) {
    std::cerr << "the evidence cannot be read\n";
    return 1;
  }
  for (unsigned long i = 0; i < pairs; ++i) {
    unsigned long v, s;
    evidence >> v >> s;
    set_node_value(net, v, s);
    set_node_as_evidence(net, v);
  }
  double best = 1e300, spent = 0;
  std::vector<matrix<double, 1>> out(n);
  for (int round = 0; round < 3 || (spent < 1000 && round < 200); ++round) {
    auto t = Clock::now();
    bayesian_network_join_tree solution(net, tree);
    for (unsigned long v = 0; v < n; ++v) out[v] = solution.probability(v);
    double took = since(t);
    best = std::min(best, took);
    spent += took;
  }
  std::ofstream marginals(argv[3]);
  marginals << std::setprecision(17);
  for (unsigned long v = 0; v < n; ++v) {
    for (unsigned long s = 0; s < card[v]; ++s) marginals << (s ? " " : "") << out[v](s);
    marginals << "\n";
  }
  std::cout << build << " " << best << " " << std::fixed << std::setprecision(0) << entries << "\n";
}
