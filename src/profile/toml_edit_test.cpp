#include "profile/toml_edit.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "profile/toml_edit_json.h"

namespace lotwright::profile {
namespace {

/// The text after edits written as the API takes them; "refused: …" when they are.
std::string edited(const std::string& text, const char* edits) {
  const auto read = read_edits(nlohmann::ordered_json::parse(edits));
  if (!read) {
    return "refused: " + base::to_text(read.error());
  }
  const auto done = edit_toml(text, *read);
  return done ? *done : "refused: " + base::to_text(done.error());
}

const std::string kText = R"(# A small profile.
format = 1  # the only one

[device]
id = "pad"
name = "Pad"

[bench]
rate_per_hour = 24.0 # an hour

# ---- faults

# The one that comes often.
[[fault]]
id = "worn"
probability = 0.10   # from memory
causes = { flat = 0.2 }

[[fault]]
id = "dead"
probability = 0.05

[[check]]
id = "look"
outcomes = ["good", "bad"]
rules = [
  # worn first
  { present = ["worn"],   gives = { bad = 0.80, good = 0.20 } },  # seen twice
  { present = ["dead"],   gives = { bad = 1 } },
]
otherwise = { good = 1.0 }
tools = ["lamp", "lens"]

[[check.reading]]
outcome = "good"
min = 1.0
)";

std::string with(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(EditToml, WithoutEditsIsTheTextItself) {
  EXPECT_EQ(edited(kText, "[]"), kText);
}

TEST(EditToml, ChangesANumberAndNothingElse) {
  EXPECT_EQ(edited(kText,
                   R"([{"edit": "set", "path": ["fault", "worn", "probability"], "value": 0.25}])"),
            with(kText, "0.10   # from memory", "0.25   # from memory"));
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["bench", "rate_per_hour"], "value": 30}])"),
            with(kText, "24.0 # an hour", "30.0 # an hour"));
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["check", 0, "rules", 0, "gives", "bad"],
                               "value": 0.7}])"),
            with(kText, "bad = 0.80", "bad = 0.7"));
}

TEST(EditToml, AddsAKeyBehindTheOthersOfItsTable) {
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["fault", "worn", "weight"], "value": 20}])"),
            with(kText, "{ flat = 0.2 }\n", "{ flat = 0.2 }\nweight = 20\n"));
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["fault", "worn", "causes", "fell"],
                               "value": 0.5}])"),
            with(kText, "{ flat = 0.2 }", "{ flat = 0.2, fell = 0.5 }"));
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["fault", "dead", "causes", "flat"],
                               "value": 0.5}])"),
            with(kText, "0.05\n", "0.05\ncauses = { flat = 0.5 }\n"));
  EXPECT_EQ(edited(kText, R"([{"edit": "set", "path": ["meter", "fast_from"], "value": 1.5}])"),
            with(kText, "24.0 # an hour\n", "24.0 # an hour\n\n[meter]\nfast_from = 1.5\n"));
}

TEST(EditToml, RemovesALineAnEntryAnItem) {
  EXPECT_EQ(edited(kText, R"([{"edit": "remove", "path": ["fault", "worn", "causes"]}])"),
            with(kText, "causes = { flat = 0.2 }\n", ""));
  EXPECT_EQ(edited(kText, R"([{"edit": "remove", "path": ["check", "look", "rules", 0, "gives",
                               "good"]}])"),
            with(kText, "bad = 0.80, good = 0.20", "bad = 0.80"));
  EXPECT_EQ(edited(kText, R"([{"edit": "remove", "path": ["check", "look", "tools", 0]}])"),
            with(kText, R"("lamp", "lens")", R"("lens")"));
  EXPECT_EQ(edited(kText, R"([{"edit": "remove", "path": ["check", "look", "tools", 1]}])"),
            with(kText, R"("lamp", "lens")", R"("lamp")"));
}

TEST(EditToml, AnItemOnItsOwnLineGoesWithTheLineAndLeavesTheCommentsAround) {
  EXPECT_EQ(
      edited(kText, R"([{"edit": "remove", "path": ["check", "look", "rules", 0]}])"),
      with(kText,
           "  { present = [\"worn\"],   gives = { bad = 0.80, good = 0.20 } },  # seen twice\n",
           ""));
}

TEST(EditToml, ARuleIsInsertedOnALineOfItsOwn) {
  const char* rule = R"({"present": ["dead|worn"], "gives": {"bad": 1}})";
  EXPECT_EQ(
      edited(kText, fmt::format(R"([{{"edit": "insert", "path": ["check", "look", "rules"],
                                           "value": {}}}])",
                                rule)
                        .c_str()),
      with(kText, "gives = { bad = 1 } },\n",
           "gives = { bad = 1 } },\n  { present = [\"dead|worn\"], gives = { bad = 1 } },\n"));
  EXPECT_EQ(edited(kText, fmt::format(R"([{{"edit": "insert", "path": ["check", "look", "rules"],
                                           "value": {}, "at": 0}}])",
                                      rule)
                              .c_str()),
            with(kText, "  # worn first\n",
                 "  # worn first\n  { present = [\"dead|worn\"], gives = { bad = 1 } },\n"));
}

TEST(EditToml, AMovedRuleTakesTheCommentOnItsLineAlong) {
  EXPECT_EQ(edited(kText, R"([{"edit": "move", "path": ["check", "look", "rules", 0], "at": 1}])"),
            with(with(kText,
                      "  { present = [\"worn\"],   gives = { bad = 0.80, good = 0.20 } },  # seen "
                      "twice\n",
                      ""),
                 "gives = { bad = 1 } },\n",
                 "gives = { bad = 1 } },\n  { present = [\"worn\"],   gives = { bad = 0.80, good = "
                 "0.20 } },  # seen twice\n"));
}

TEST(EditToml, ABlockGoesAndComesWithTheCommentRightAboveIt) {
  const std::string block =
      "# The one that comes often.\n[[fault]]\nid = \"worn\"\nprobability = 0.10   # from memory\n"
      "causes = { flat = 0.2 }\n";
  EXPECT_EQ(edited(kText, R"([{"edit": "remove", "path": ["fault", "worn"]}])"),
            with(kText, block + "\n", ""));
  EXPECT_EQ(edited(kText, R"([{"edit": "move", "path": ["fault", "worn"], "at": 1}])"),
            with(with(kText, block + "\n", ""), "probability = 0.05\n",
                 "probability = 0.05\n\n" + block));
}

TEST(EditToml, ANewBlockStandsBehindTheLastOfItsKind) {
  EXPECT_EQ(edited(kText, R"([{"edit": "insert", "path": ["fault"], "comment": "From the bench.",
                         "value": {"id": "loose", "name": "Loose", "probability": 0.02}}])"),
            with(kText, "probability = 0.05\n",
                 "probability = 0.05\n\n# From the bench.\n[[fault]]\nid = \"loose\"\nname = "
                 "\"Loose\"\nprobability = 0.02\n"));
  EXPECT_EQ(edited(kText, R"([{"edit": "insert", "path": ["check"],
                               "value": {"id": "weigh", "rules": [{"gives": {"a": 1}}],
                                         "reading": [{"outcome": "a", "max": 3}]}}])"),
            kText +
                "\n[[check]]\nid = \"weigh\"\nrules = [\n  { gives = { a = 1 } },\n]\n"
                "\n[[check.reading]]\noutcome = \"a\"\nmax = 3\n");
  EXPECT_EQ(edited(kText, R"([{"edit": "insert", "path": ["check", "look", "reading"],
                               "value": {"outcome": "bad", "max": 1.0}}])"),
            kText + "\n[[check.reading]]\noutcome = \"bad\"\nmax = 1.0\n");
}

TEST(EditToml, KeepsLineEndsAndTheByteOrderMark) {
  const std::string text =
      "\xEF\xBB\xBF"
      "a = 1\r\n[b]\r\nc = \"x\"\r\n";
  EXPECT_EQ(edited(text, R"([{"edit": "set", "path": ["b", "d"], "value": "y\nz"}])"),
            text + "d = \"y\\nz\"\r\n");
}

TEST(EditToml, FindsPlacesWrittenInOtherWays) {
  EXPECT_EQ(edited("device.id = \"x\"\n", R"([{"edit": "set", "path": ["device", "name"],
                                              "value": "X"}])"),
            "device.id = \"x\"\ndevice.name = \"X\"\n");
  EXPECT_EQ(edited("[\"a.b\"]\n'c d' = 1", R"([{"edit": "set", "path": ["a.b", "c d"], "value": 2},
                                               {"edit": "set", "path": ["a.b", "e"], "value": 3}])"),
            "[\"a.b\"]\n'c d' = 2\ne = 3\n");
  EXPECT_EQ(edited("[[x]]\n[x.t]\na = 1\n", R"([{"edit": "set", "path": ["x", 0, "t", "a"],
                                                "value": 2}])"),
            "[[x]]\n[x.t]\na = 2\n");
}

TEST(EditToml, RefusesWhatLeadsNowhereAndChangesNothing) {
  EXPECT_EQ(
      edited(kText, R"([{"edit": "remove", "path": ["fault", "gone"]}])"),
      "refused: error: there is nothing at fault.gone (at edits[0]): it was changed or removed "
      "meanwhile: look at the profile again\n");
  EXPECT_TRUE(edited(kText, R"([{"edit": "set", "path": ["format"], "value": 2},
                                {"edit": "move", "path": ["fault"], "at": 0}])")
                  .starts_with("refused:"));
  EXPECT_TRUE(
      edited("a = ", R"([{"edit": "set", "path": ["a"], "value": 2}])").starts_with("refused:"));
}

TEST(ReadEdits, NamesEveryProblemWithItsPlace) {
  const std::string said =
      edited(kText, R"([{"edit": "turn", "path": ["a"]}, {"edit": "set", "path": [],
      "value": null}, {"edit": "move", "path": ["a", 0]}, {"edit": "remove", "path": ["a"], "more": 1}, 3])");
  for (const char* place : {"/edits/0/edit", "/edits/1/path", "/edits/1/value", "/edits/2/at",
                            "/edits/3/more", "/edits/4"}) {
    EXPECT_NE(said.find(place), std::string::npos) << place << " in " << said;
  }
}

}  // namespace
}  // namespace lotwright::profile
