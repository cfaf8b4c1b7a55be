// The document of `infer --json` as docs/interfaces.md fixes it.
#include "diagnosis/infer_json.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/profile_builder.h"

namespace lotwright::diagnosis {
namespace {

using nlohmann::json;
using testing::ProfileBuilder;

ProfileBuilder small() {
  ProfileBuilder build;
  build.history("liquid", 0.1).assembly("battery").fault("worn", 0.25, {{"liquid", 0.5}});
  build.assembly("lid");
  build.check("volts", {"low", "good"}, {{{"worn"}, {1, 0}}}, {0, 1});
  return build;
}

TEST(InferDocument, ListsEveryFaultHistoryAndAssemblyInOrder) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  const auto document =
      infer_document(model, {.access = {}, .events = {build.found("volts", "low")}}, 10).value();
  EXPECT_EQ(document["faults"], json::parse(R"([{"id": "worn", "probability": 1.0}])"));
  EXPECT_EQ(document["assemblies"],
            json::parse(R"([{"id": "battery", "good": 0.0}, {"id": "lid", "good": 1.0}])"));
  EXPECT_EQ(document["clean"], 0.0);
  EXPECT_EQ(document["left_out"], 0.0);
  const double evidence = 0.25 + 0.75 * 0.1 * 0.5;
  EXPECT_NEAR(document["evidence_probability"].get<double>(), evidence, 1e-12);
  const double liquid = 0.1 * (1 - 0.75 * 0.5) / evidence;
  EXPECT_NEAR(document["histories"][0]["probability"].get<double>(), liquid, 1e-12);
  ASSERT_EQ(document["scenarios"].size(), 2U);
  EXPECT_EQ(document["scenarios"][1]["histories"], json::parse(R"(["liquid"])"));
  EXPECT_EQ(document["scenarios"][0]["faults"], json::parse(R"(["worn"])"));
  EXPECT_FALSE(document.contains("conflict"));
}

TEST(InferDocument, GivesAtMostTopScenarios) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  EXPECT_EQ(infer_document(model, {}, 3).value()["scenarios"].size(), 3U);
  EXPECT_EQ(infer_document(model, {}, 0).value()["scenarios"], json::array());
}

TEST(InferDocument, SaysWhatClashesOnImpossibleEvidence) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  const profile::Case unit_case{
      .access = {},
      .events = {build.confirmed("liquid"), build.found("volts", "low"), build.ruled_out("worn")}};
  const auto document = infer_document(model, unit_case, 10).value();
  EXPECT_EQ(document["evidence_probability"], 0.0);
  EXPECT_EQ(document["conflict"], json::parse("[1, 2]"));
  EXPECT_EQ(document["scenarios"], json::array());
  EXPECT_EQ(document["faults"], json::parse(R"([{"id": "worn", "probability": null}])"));
  EXPECT_TRUE(document["clean"].is_null());
  EXPECT_TRUE(document["left_out"].is_null());
  EXPECT_TRUE(document["histories"][0]["probability"].is_null());
  EXPECT_TRUE(document["assemblies"][0]["good"].is_null());
  // Without the reading: P(worn ruled out | liquid); without ruling out: P(worn | liquid).
  const auto& detail = document["conflict_detail"];
  ASSERT_EQ(detail.size(), 2U);
  EXPECT_EQ(detail[0]["event"], 1);
  EXPECT_EQ(detail[0]["words"], profile::describe(model.profile(), unit_case.events[1]));
  EXPECT_EQ(detail[0]["without"]["possible"], true);
  EXPECT_NEAR(detail[0]["without"]["evidence_probability"].get<double>(), 0.1 * 0.75 * 0.5, 1e-12);
  EXPECT_NEAR(detail[1]["without"]["evidence_probability"].get<double>(), 0.1 * (1 - 0.75 * 0.5),
              1e-12);
  EXPECT_EQ(document["conflict_proven_smallest"], true);
  EXPECT_NEAR(document["zeros_small"]["evidence_probability"].get<double>(),
              0.1 * 0.75 * 0.5 * 1e-4 / 1.0001, 1e-12);
  const auto belief = Belief::condition(model, unit_case).value();
  const auto text = infer_text(model, unit_case, belief, 10);
  EXPECT_NE(text.find("the rest without it: probability 0.0375"), std::string::npos) << text;
  EXPECT_NE(text.find("event 1"), std::string::npos);
  EXPECT_NE(text.find("event 2"), std::string::npos);
}

TEST(InferDocument, SaysWhenStrikingOneIsNotEnough) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  const auto document =
      infer_document(model,
                     {.access = {},
                      .events = {build.confirmed("worn"), build.ruled_out("worn"),
                                 build.found("volts", "low"), build.ruled_out("worn")}},
                     10)
          .value();
  ASSERT_EQ(document["conflict"].size(), 2U);
  for (const auto& entry : document["conflict_detail"]) {
    EXPECT_EQ(entry["without"]["possible"], false);
    EXPECT_EQ(entry["without"]["evidence_probability"], 0.0);
    EXPECT_TRUE(entry["without"]["log_evidence"].is_null());
  }
  EXPECT_EQ(document["zeros_small"]["possible"], false);
}

TEST(InferDocument, NeverPrintsZeroForPossibleEvidence) {
  ProfileBuilder build;
  build.fault("worn", 0.5);
  profile::Case unit_case;
  for (int c = 0; c < 3; ++c) {
    const std::string id = "c" + std::to_string(c);
    build.check(id, {"odd", "usual"}, {}, {1e-200, 1});
    unit_case.events.push_back(build.found(id, "odd"));
  }
  const auto model = Model::compile(build.profile()).value();
  const auto document = infer_document(model, unit_case, 10).value();
  EXPECT_GT(json::parse(document.dump())["evidence_probability"].get<double>(), 0.0);
  EXPECT_NEAR(document["log_evidence"].get<double>(), 3 * std::log(1e-200), 1e-9);
}

TEST(InferDocument, PrintsNumbersThatReadBackUnchanged) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  const auto document = infer_document(model, {}, 10).value();
  EXPECT_EQ(json::parse(document.dump()), document);
}

TEST(InferText, ShowsFaultsAndScenarios) {
  auto build = small();
  const auto model = Model::compile(build.profile()).value();
  const auto belief = Belief::condition(model, {}).value();
  const auto text = infer_text(model, {}, belief, 10);
  EXPECT_NE(text.find("10.0 %  liquid"), std::string::npos) << text;
  EXPECT_NE(text.find("22.5 %  worn"), std::string::npos) << text;
  EXPECT_NE(text.find("no fault (liquid)"), std::string::npos) << text;
}

}  // namespace
}  // namespace lotwright::diagnosis
