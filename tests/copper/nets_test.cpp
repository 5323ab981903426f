#include "copper/nets.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "copper/squares.h"

namespace etchback::copper {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

TEST(Nets, IslandsAreJoinedWhereThatIsLikelierThanNot) {
    Squares board(3);
    board.join(0, 1, 0.9);
    board.join(1, 2, 0.4);
    for (int i = 0; i < 3; ++i) {
        board.pad(i);
    }
    const Nets nets = board.nets();
    ASSERT_THAT(nets.nets, SizeIs(2));
    EXPECT_THAT(nets.nets[0].islands, ElementsAre(0, 1));
    EXPECT_THAT(nets.net_of_island, ElementsAre(0, 0, 1));
    EXPECT_THAT(nets.net_of_pad, ElementsAre(0, 0, 1));
}

TEST(Nets, AreNumberedByTheirPadsThenByTheirArea) {
    Squares board(4);
    board.islands.islands[1].area_mm2 = 9.0;
    board.join(2, 3, 1.0);
    board.pad(2);
    board.pad(3);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.nets, SizeIs(3));
    EXPECT_THAT(nets.nets[0].islands, ElementsAre(2, 3));
    EXPECT_THAT(nets.nets[1].islands, ElementsAre(1));
    EXPECT_THAT(nets.nets[2].islands, ElementsAre(0));
    EXPECT_EQ(nets.nets[1].name, "N2");
}

TEST(Nets, APadBesideItsCopperStillFindsItWithinHalfAMillimetre) {
    Squares board(1);
    const std::size_t pad = board.pad(0);
    board.pads[pad].at = {1.85, 1.0};  // the square ends at 1.5
    EXPECT_EQ(board.nets().net_of_pad[pad], 0);
    board.pads[pad].at = {2.5, 1.0};
    const Nets nets = board.nets();
    EXPECT_EQ(nets.net_of_pad[pad], -1);
    ASSERT_THAT(nets.doubts, SizeIs(1));
    EXPECT_THAT(nets.doubts[0].words, HasSubstr("P1.1 lies on no copper"));
}

TEST(Nets, APinThatHangsOnNothingIsADoubtWhereMostHangTogether) {
    Squares board(12);
    for (int i = 0; i < 12; ++i) {
        board.pad(i);
    }
    for (int i = 1; i < 11; ++i) {
        board.join(0, i, 1.0);
    }
    const Nets nets = board.nets();
    ASSERT_THAT(nets.doubts, SizeIs(1));
    EXPECT_THAT(nets.doubts[0].words, HasSubstr("hangs on nothing"));
    EXPECT_THAT(nets.doubts[0].pads, ElementsAre(11));
    // A doubt that says where it may hang speaks for it.
    board.join(10, 11, 0.5);
    const Nets told = board.nets();
    ASSERT_THAT(told.doubts, SizeIs(1));
    EXPECT_GE(told.doubts[0].joint, 0);
}

TEST(Nets, APadFarOutsideThePictureLiesOnNoCopper) {
    Squares board(1);
    const std::size_t pad = board.pad(0);
    board.pads[pad].at = {-1e9, 1e9};
    EXPECT_EQ(board.nets().net_of_pad[pad], -1);
}

TEST(Nets, APadThroughTheBoardTakesTheCopperOfEitherSide) {
    Squares board(0, 2);
    const std::size_t pad = board.pad(1);
    board.pads[pad].side.reset();
    EXPECT_EQ(board.nets().net_of_pad[pad], board.nets().net_of_island[1]);
}

TEST(Checks, ABeepClosesTheLikeliestWay) {
    Squares board(4);
    const auto a = board.pad(0);
    const auto b = board.pad(3);
    const auto by_one = board.pad(1);
    const auto by_two = board.pad(2);
    board.join(0, 1, 0.3);
    board.join(1, 3, 0.4);
    board.join(0, 2, 0.1);
    board.join(2, 3, 0.45);
    board.beep(a, b);
    const Nets nets = board.nets();
    EXPECT_EQ(nets.net_of_pad[a], nets.net_of_pad[b]);
    EXPECT_EQ(nets.net_of_pad[by_one], nets.net_of_pad[a]);
    EXPECT_NE(nets.net_of_pad[by_two], nets.net_of_pad[a]);
    EXPECT_THAT(nets.contradictions, IsEmpty());
}

TEST(Checks, SilenceOpensTheWeakestJointOnTheWay) {
    Squares board(4);
    const auto a = board.pad(0);
    const auto b = board.pad(3);
    board.join(0, 1, 0.9);
    board.join(1, 2, 0.7);
    board.join(2, 3, 0.9);
    board.silence(a, b);
    const Nets nets = board.nets();
    EXPECT_THAT(nets.net_of_island, ElementsAre(0, 0, 1, 1));
}

TEST(Checks, SilenceOpensEveryWay) {
    Squares board(2);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    board.join(0, 1, 0.9);
    board.join(0, 1, 0.8);
    board.silence(a, b);
    const Nets nets = board.nets();
    EXPECT_NE(nets.net_of_pad[a], nets.net_of_pad[b]);
}

TEST(Checks, SilenceTakesTheCheapestCutEvenIfItIsOfTwoJoints) {
    // One joint of 0.999 in the middle, two of 0.6 before it: opening both is likelier.
    Squares board(4);
    const auto a = board.pad(0);
    const auto b = board.pad(3);
    board.join(0, 1, 0.6);
    board.join(0, 2, 0.6);
    board.join(1, 2, 0.999);
    board.join(2, 3, 0.999);
    board.silence(a, b);
    EXPECT_THAT(board.nets().net_of_island, ElementsAre(1, 0, 0, 0));
}

TEST(Checks, ABeepAndASilenceTogetherAreBothHeard) {
    // 0-1-2 look joined; 0 beeps to 1 and not to 2: the joint 1-2 gives way though it is surer.
    Squares board(3);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    const auto c = board.pad(2);
    board.join(0, 1, 0.6);
    board.join(1, 2, 0.95);
    board.silence(a, c);
    board.beep(a, b);
    const Nets nets = board.nets();
    EXPECT_EQ(nets.net_of_pad[a], nets.net_of_pad[b]);
    EXPECT_NE(nets.net_of_pad[a], nets.net_of_pad[c]);
    EXPECT_THAT(nets.contradictions, IsEmpty());
}

TEST(Checks, SilenceOnOnePieceOfCopperIsAContradiction) {
    Squares board(1);
    const auto a = board.pad(0);
    const auto b = board.pad(0);
    board.silence(a, b);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.contradictions, SizeIs(1));
    EXPECT_THAT(nets.contradictions[0].words,
                HasSubstr("P1.1 to P2.1 does not beep, but clear copper joins them"));
}

TEST(Checks, ABeepThatNoJointExplainsIsAContradictionAndJoinsNothing) {
    Squares board(2);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    board.beep(a, b);
    const Nets nets = board.nets();
    EXPECT_NE(nets.net_of_pad[a], nets.net_of_pad[b]);
    ASSERT_THAT(nets.contradictions, SizeIs(1));
    EXPECT_THAT(nets.contradictions[0].words, HasSubstr("no copper is seen that could join them"));
}

TEST(Checks, ThatContradictEachOtherAreToldAndTheBeepsStay) {
    Squares board(3);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    const auto c = board.pad(2);
    board.join(0, 1, 0.5);
    board.join(1, 2, 0.5);
    board.beep(a, b);
    board.beep(b, c);
    board.silence(a, c);
    const Nets nets = board.nets();
    EXPECT_EQ(nets.net_of_pad[a], nets.net_of_pad[c]);
    ASSERT_THAT(nets.contradictions, SizeIs(1));
    EXPECT_THAT(nets.contradictions[0].words, HasSubstr("P1.1 to P3.1 does not beep"));
}

TEST(Checks, ACheckOfAPadOnNoCopperIsTold) {
    Squares board(1);
    const auto a = board.pad(0);
    const auto b = board.pad(0);
    board.pads[b].at = {50.0, 50.0};
    board.beep(a, b);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.contradictions, SizeIs(1));
    EXPECT_THAT(nets.contradictions[0].words, HasSubstr("P2.1 lies on no copper"));
}

TEST(Checks, APersonsOwnStrokesAreNeverOverruled) {
    Squares board(3);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    const auto c = board.pad(2);
    board.join(0, 1, 1.0, Joint::Kind::bridge);
    board.join(1, 2, 0.0, Joint::Kind::bridge);
    board.silence(a, b);
    board.beep(b, c);
    const Nets nets = board.nets();
    EXPECT_EQ(nets.net_of_pad[a], nets.net_of_pad[b]);
    EXPECT_NE(nets.net_of_pad[b], nets.net_of_pad[c]);
    EXPECT_THAT(nets.contradictions, SizeIs(2));
}

// All ways to close the joints, one by one: the search must find the likeliest.
TEST(Checks, TheSearchFindsWhatTryingAllWaysFinds) {
    for (unsigned seed = 1; seed <= 60; ++seed) {
        std::mt19937 dice(seed);
        const auto unit = [&] { return static_cast<double>(dice() % 1000) / 1000.0; };
        Squares board(6);
        for (int i = 0; i < 6; ++i) {
            board.pad(i);
        }
        const int joints = 9;
        for (int j = 0; j < joints; ++j) {
            const int a = static_cast<int>(dice() % 6);
            const int b = (a + 1 + static_cast<int>(dice() % 5)) % 6;
            board.join(a, b, 0.02 + 0.96 * unit());
        }
        for (int i = 0; i < 3; ++i) {
            const std::size_t a = dice() % 6;
            board.beep(a, (a + 1 + dice() % 5) % 6, dice() % 2 == 0);
        }
        const auto holds = [&](const std::vector<int>& net) {
            return std::ranges::all_of(board.checks, [&](const Check& check) {
                return (net[check.a] == net[check.b]) == check.beeps;
            });
        };
        double best = -1.0;
        std::vector<int> best_nets;
        for (int set = 0; set < (1 << joints); ++set) {
            double likely = 1.0;
            std::vector<int> net = {0, 1, 2, 3, 4, 5};
            for (int j = 0; j < joints; ++j) {
                const Joint& joint = board.islands.joints[static_cast<std::size_t>(j)];
                const bool closed = (set >> j) % 2 == 1;
                likely *= closed ? joint.joined : 1.0 - joint.joined;
                if (closed) {
                    const int from = net[static_cast<std::size_t>(joint.b)];
                    const int to = net[static_cast<std::size_t>(joint.a)];
                    std::ranges::replace(net, from, to);
                }
            }
            if (likely > best && holds(net)) {
                best = likely;
                best_nets = net;
            }
        }
        const Nets nets = board.nets();
        if (best < 0.0) {
            EXPECT_FALSE(nets.contradictions.empty()) << seed;
            continue;
        }
        EXPECT_TRUE(nets.contradictions.empty()) << seed;
        for (std::size_t i = 0; i < 6; ++i) {
            for (std::size_t j = 0; j < 6; ++j) {
                EXPECT_EQ(nets.net_of_pad[i] == nets.net_of_pad[j], best_nets[i] == best_nets[j])
                    << seed << ": " << i << " " << j;
            }
        }
    }
}

TEST(Doubts, AreRankedByThePairsOfPinsThatTheyWouldChange) {
    Squares board(6);
    for (int i = 0; i < 6; ++i) {
        board.pad(i);
    }
    board.join(0, 1, 1.0);
    board.join(1, 2, 1.0);
    const int small = board.join(4, 5, 0.8);  // one pair
    const int large = board.join(2, 3, 0.8);  // three pairs
    const Nets nets = board.nets();
    ASSERT_THAT(nets.doubts, SizeIs(2));
    EXPECT_EQ(nets.doubts[0].joint, large);
    EXPECT_EQ(nets.doubts[0].pairs, 3);
    EXPECT_NEAR(nets.doubts[0].wrong, 0.2, 1e-9);
    EXPECT_EQ(nets.doubts[1].joint, small);
    EXPECT_EQ(nets.doubts[1].pairs, 1);
    EXPECT_THAT(nets.doubts[0].words, HasSubstr("between P4.1 and P3.1: a test at (6.0, 1.0) mm"));
}

TEST(Doubts, TwoWaysRoundLeaveLessDoubtThanEither) {
    Squares board(2);
    board.pad(0);
    board.pad(1);
    const int one = board.join(0, 1, 0.7);
    const int other = board.join(0, 1, 0.8);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.doubts, SizeIs(1));
    EXPECT_NEAR(nets.doubts[0].wrong, 0.06, 1e-9);
    EXPECT_THAT(nets.doubts[0].joints, ElementsAre(one, other));
}

TEST(Doubts, ASureWayRoundLeavesNone) {
    Squares board(3);
    board.pad(0);
    board.pad(1);
    board.join(0, 1, 0.7);
    board.join(0, 2, 1.0);
    board.join(2, 1, 1.0);
    EXPECT_THAT(board.nets().doubts, IsEmpty());
}

TEST(Doubts, AGapBetweenNetsCountsThroughCopperWithoutPads) {
    Squares board(3);
    board.pad(0);
    board.pad(2);
    board.join(0, 1, 0.4);
    const int weakest = board.join(1, 2, 0.3, Joint::Kind::gap);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.doubts, SizeIs(1));
    EXPECT_NEAR(nets.doubts[0].wrong, 0.12, 1e-9);
    EXPECT_EQ(nets.doubts[0].joint, weakest);
    EXPECT_EQ(nets.doubts[0].pairs, 1);
}

TEST(Doubts, CopperWithoutPadsIsNone) {
    Squares board(2);
    board.pad(0);
    board.join(0, 1, 0.6);
    EXPECT_THAT(board.nets().doubts, IsEmpty());
    EXPECT_THAT(board.nets().questions, IsEmpty());
}

TEST(Doubts, ACheckThatSettledOneTakesItAway) {
    Squares board(3);
    const auto a = board.pad(0);
    const auto b = board.pad(1);
    const auto c = board.pad(2);
    board.join(0, 1, 0.7);
    board.join(1, 2, 0.3);
    EXPECT_THAT(board.nets().doubts, SizeIs(2));
    board.beep(a, b);
    board.silence(b, c);
    EXPECT_THAT(board.nets().doubts, IsEmpty());
    EXPECT_THAT(board.nets().questions, IsEmpty());
}

TEST(Doubts, SilenceSharesItsDoubtAmongTheJointsThatMayBeOpen) {
    Squares board(3);
    const auto a = board.pad(0);
    board.pad(1);
    const auto c = board.pad(2);
    board.join(0, 1, 0.70);
    board.join(1, 2, 0.68);
    board.silence(a, c);
    const Nets nets = board.nets();
    ASSERT_FALSE(nets.doubts.empty());
    const double odds_one = 0.30 / 0.70;
    const double odds_two = 0.32 / 0.68;
    EXPECT_NEAR(nets.doubts[0].wrong, odds_one / (odds_one + odds_two), 1e-9);
}

TEST(Questions, OneBeepSettlesAllDoubtsOnItsWay) {
    Squares board(4);
    for (int i = 0; i < 4; ++i) {
        board.pad(i);
    }
    board.join(0, 1, 0.9);
    board.join(1, 2, 0.9);
    board.join(2, 3, 0.9);
    const Nets nets = board.nets();
    EXPECT_THAT(nets.doubts, SizeIs(3));
    ASSERT_THAT(nets.questions, SizeIs(1));
    EXPECT_EQ(nets.questions[0].words, "P1.1 to P4.1: should beep");
    EXPECT_TRUE(nets.questions[0].expected);
    EXPECT_NEAR(nets.questions[0].chance, 0.9 * 0.9 * 0.9, 1e-9);
    EXPECT_THAT(nets.questions[0].settles, ElementsAre(0, 1, 2));
}

TEST(Questions, AStarOfFourArmsTakesTwo) {
    Squares board(5);
    for (int i = 1; i < 5; ++i) {
        board.pad(i);
        board.join(0, i, 0.9);
    }
    const Nets nets = board.nets();
    EXPECT_THAT(nets.doubts, SizeIs(4));
    EXPECT_THAT(nets.questions, SizeIs(2));
}

TEST(Questions, AreAskedOneByOneWhereAskingAllAtOnceWouldMostLikelyFail) {
    Squares board(4);
    for (int i = 0; i < 4; ++i) {
        board.pad(i);
    }
    board.join(0, 1, 0.6);
    board.join(1, 2, 0.6);
    board.join(2, 3, 0.6);
    const Nets nets = board.nets();
    EXPECT_GT(nets.questions.size(), 1u);
    for (const Question& question : nets.questions) {
        EXPECT_GE(question.chance, 0.5);
    }
}

TEST(Questions, AskForSilenceBetweenNetsThatMayBeOne) {
    Squares board(2);
    board.pad(0);
    board.pad(1);
    board.join(0, 1, 0.4, Joint::Kind::gap);
    const Nets nets = board.nets();
    ASSERT_THAT(nets.questions, SizeIs(1));
    EXPECT_EQ(nets.questions[0].words, "P1.1 to P2.1: should not beep");
    EXPECT_FALSE(nets.questions[0].expected);
    EXPECT_NEAR(nets.questions[0].chance, 0.6, 1e-9);
}

// Whatever the truth is: answering all questions as it has it leaves no wrong pair among those
// that the questions speak of, and nothing is asked twice.
TEST(Questions, TheirAnswersMakeTheNetsTrue) {
    int wrong_before = 0;
    int wrong_after = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        std::mt19937 dice(seed);
        const auto unit = [&] { return static_cast<double>(dice() % 1000) / 1000.0; };
        Squares board(12);
        for (int i = 0; i < 12; ++i) {
            board.pad(i);
        }
        std::vector<int> truth = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11};
        for (int j = 0; j < 14; ++j) {
            const int a = static_cast<int>(dice() % 12);
            const int b = (a + 1 + static_cast<int>(dice() % 3)) % 12;
            const double p = unit() < 0.5 ? 0.05 + 0.3 * unit() : 0.65 + 0.3 * unit();
            board.join(a, b, p);
            if (unit() < p) {
                const int from = truth[static_cast<std::size_t>(b)];
                const int to = truth[static_cast<std::size_t>(a)];
                std::ranges::replace(truth, from, to);
            }
        }
        const auto wrong = [&](const Nets& nets) {
            int count = 0;
            for (std::size_t i = 0; i < 12; ++i) {
                for (std::size_t k = 0; k < i; ++k) {
                    count += (nets.net_of_pad[i] == nets.net_of_pad[k]) != (truth[i] == truth[k]);
                }
            }
            return count;
        };
        Nets nets = board.nets();
        wrong_before += wrong(nets);
        for (int round = 0; round < 8 && !nets.questions.empty(); ++round) {
            for (const Question& q : nets.questions) {
                for (const Check& check : board.checks) {
                    EXPECT_FALSE(check.a == q.a && check.b == q.b) << seed << " " << q.words;
                }
                board.beep(q.a, q.b, truth[q.a] == truth[q.b]);
            }
            nets = board.nets();
            EXPECT_THAT(nets.contradictions, IsEmpty()) << seed;
        }
        wrong_after += wrong(nets);
    }
    EXPECT_GT(wrong_before, 100);
    EXPECT_LT(wrong_after, wrong_before / 20) << wrong_before;
}

TEST(Nets, TheSameIslandsGiveTheSameNets) {
    Squares board(5);
    for (int i = 0; i < 5; ++i) {
        board.pad(i);
        board.join(i, (i + 1) % 5, 0.5 + 0.09 * i);
    }
    board.silence(0, 3);
    const Nets one = board.nets();
    const Nets two = board.nets();
    EXPECT_EQ(one.net_of_island, two.net_of_island);
    ASSERT_EQ(one.questions.size(), two.questions.size());
    for (std::size_t i = 0; i < one.questions.size(); ++i) {
        EXPECT_EQ(one.questions[i].words, two.questions[i].words);
    }
}

}  // namespace
}  // namespace etchback::copper
